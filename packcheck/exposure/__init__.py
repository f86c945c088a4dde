"""Short-circuit exposure through the work: what a tool, a loose part or a free lead end can bridge at each step.

The road::

    layout -> bodies of bare metal; which lie within reach of each other          bodies.py, geometry.py
    order of work -> stages -> state of the pack after each                       steps.py
    state -> connected sections, solved                                           sections.py
    sections x pairs in reach -> bridges: volts, amperes, watts, arc              bridges.py
    -> what each step asks for                                                    protection.py
    layout -> proposed order                                                      precedence.py, planning.py, search.py
    what no order can avoid; the change that helps most                           bounds.py, changes.py
    all together; when 60 V is first passed; record -> the order as worked        exposed.py, answer.py
"""
