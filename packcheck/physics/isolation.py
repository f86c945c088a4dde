"""Isolation of a battery from its chassis, from voltages that its own poles drive through a meter and a resistor."""

from __future__ import annotations


def isolation_un_ohm(resistor_ohm: float, poles_v: float, pole_v: float, with_resistor_v: float) -> float:
    """Return the isolation resistance by the form of the United Nations [ohm].

    Parameters
    ----------
    resistor_ohm : the known resistor put from the pole of the higher reading to the chassis [ohm], above 0.
    poles_v : voltage from pole to pole [V].
    pole_v : the higher of the two pole-to-chassis voltages [V], above 0.
    with_resistor_v : the same once the resistor is in [V], above 0.

    Notes
    -----
    R_i = R_o V_b (1/V' − 1/V) [1]_: the smaller of the two pole-to-chassis resistances.  The resistance of a meter that
    stays in place for both readings cancels.

    References
    ----------
    .. [1] UN Regulation No. 100, annex on isolation resistance, 1.2.3.4 (read in a reprint).

    Examples
    --------
    40 kΩ from plus and 1 MΩ from minus, 400 V, a resistor of 40 kΩ at the minus: 384.6154 V fall to 196.0784 V.

    >>> round(isolation_un_ohm(40e3, 400.0, 384.61538, 196.07843))
    40000
    """
    return resistor_ohm * poles_v * (1 / with_resistor_v - 1 / pole_v)


def isolation_us_ohm(resistor_ohm: float, other_v: float, pole_v: float, with_resistor_v: float) -> float:
    """Return the isolation resistance by the form of the United States [ohm]; it reads low by the meter's resistance.

    Parameters
    ----------
    resistor_ohm : as in ``isolation_un_ohm`` [ohm].
    other_v : the lower of the two pole-to-chassis voltages [V].
    pole_v, with_resistor_v : as in ``isolation_un_ohm`` [V].

    Notes
    -----
    R_i = R_o (1 + V_2/V_1) (V_1 − V_1')/V_1' [1]_; the same as the other form where V_1 + V_2 is the pole voltage.

    References
    ----------
    .. [1] 49 CFR 571.305, figures 4 and 5 (clause from memory).
    """
    return resistor_ohm * (1 + other_v / pole_v) * (pole_v - with_resistor_v) / with_resistor_v


def seen_through_meter_ohm(resistor_ohm: float, pole_v: float, with_resistor_v: float) -> float:
    """Return what the higher pole has to the chassis [ohm]: both leaks and the meter, side by side, by the resistor.

    ``resistor_ohm`` is the known resistor [ohm], ``pole_v`` and ``with_resistor_v`` the higher reading without it and
    with it [V].  Derived: pack and leaks are a source of Z ohms, so V = V' (1 + Z/R_o).
    """
    return resistor_ohm * (pole_v / with_resistor_v - 1)


def seen_by_loading_ohm(meter_ohm: float, poles_v: float, pole_v: float, other_v: float) -> float:
    """Return the same without the resistor [ohm]: how far the meter itself loads the leaks tells it.

    ``meter_ohm`` is the input resistance of the meter [ohm], ``poles_v`` the voltage from pole to pole, ``pole_v`` and
    ``other_v`` the higher and the lower reading [V].  Derived from V_1 = V_b G_p / (G_p + G_n + G_m) and its mate:
    V_1 + V_2 = V_b (1 − G_m Z).

    Examples
    --------
    10 MΩ from each pole and a meter of 10 MΩ: each third of 190 V is read, and three of 10 MΩ lie side by side.

    >>> round(seen_by_loading_ohm(10e6, 190.0, 190 / 3, 190 / 3))
    3333333
    """
    return meter_ohm * (1 - (pole_v + other_v) / poles_v)


def parallel_total_ohm(isolation_ohm: float, pole_v: float, other_v: float) -> float:
    """Return what a body touching a pole has in its way [ohm]: both pole-to-chassis resistances in parallel.

    ``isolation_ohm`` is the smaller of the two [ohm], ``pole_v`` and ``other_v`` the higher and the lower reading [V].
    Derived: the readings stand as the resistances, V_1 / V_2 = R_n / R_p.
    """
    return isolation_ohm * pole_v / (pole_v + other_v)


def leak_share(minus_v: float, plus_v: float, share_of_reading: float) -> tuple[float, float]:
    """Return between which shares of the voltage from the negative pole a single leak lies [1].

    ``minus_v`` and ``plus_v`` are the readings of the poles to the chassis [V]; each may be off by a share of itself.
    Derived: f = V_1 / (V_1 + V_2), whatever the meter's and the leak's resistance; df = f (1 − f) (e_1 − e_2).
    Two leaks look like one between them.
    """
    at = minus_v / (minus_v + plus_v)
    half = at * (1 - at) * 2 * share_of_reading
    return at - half, at + half


def pull_to_middle(at: float, leak_ohm: float, background_ohm: float) -> float:
    """Return by how much a background leak, alike all along, pulls the place of a leak towards the middle [1].

    ``at`` is the share found, ``leak_ohm`` the total [ohm], ``background_ohm`` that of a good pack [ohm].  Derived.
    """
    return (at - 0.5) * leak_ohm / background_ohm
