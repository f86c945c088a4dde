"""What must come before what in a build: the partial order of the trade, each pair with its reason."""

from __future__ import annotations

from typing import NamedTuple


class Precedence(NamedTuple):
    """Two acts by what is written down of them, and why the first must come first."""

    earlier: str
    later: str
    reason: str


TEST_FIT = Precedence("loose reading", "next step after it stands", "a module is tested on the bench, not in its row")
TEST_BAR = Precedence("loose reading", "its bars or leads", "with a bar on its post a module is no longer loose")
TEST_JOINT = Precedence(
    "loose reading", "torque of a joint on it", "with a bar on its post a module is no longer loose"
)
STAND_CLAMP = Precedence("module in its place", "clamp", "a stack is clamped when all of it stands")
CLAMP_READ = Precedence("clamping", "its length and torque", "a length read before clamping is that of a loose stack")
FIT_SEEN = Precedence("fitting", "the look at it", "what was seen before it was fitted was something else")
FIT_JOINT = Precedence("its conductor fitted", "its torque or resistance", "a joint exists once its conductor is on")
STAND_JOINT = Precedence("its module in place", "its torque or resistance", "a post is tightened where it stays")
JOINT_COVER = Precedence("its torque or resistance", "cover over it", "a covered joint cannot be tightened or probed")
JOINT_READING = Precedence("torque of its joints", "reading", "a voltage says nothing about joints made after it")
JOINT_ISOLATION = Precedence("torque of its joints", "isolation test", "what was put on later may lead to the chassis")
COVER_PLUG = Precedence("cover", "reading with the disconnect in", "with it in, all that is bare has the whole voltage")
SEEN_PLUG = Precedence(
    "cover first seen on", "reading with the disconnect in", "with it in, all that is bare has the whole voltage"
)
PLUG_READING = Precedence("disconnect in", "reading with it in", "what was read before it went in was another state")
STATE_STATE = Precedence("first reading", "first reading with more closed", "each switch is closed on earlier evidence")
CHANGE_JOINT = Precedence("what was changed", "its torque or resistance", "a joint that was opened is a new joint")
CHANGE_READING = Precedence("what was changed", "reading over it", "what was read before the change was another pack")
FIRST_AGAIN = Precedence("first reading", "second reading", "a second reading comes after what it corrects")
LOOK_AGAIN = Precedence("first look", "second look", "what was seen last is judged, not what was written last")
STEP_STEP = Precedence("step before it", "step of the work", "steps stand in the order in which they were done")
