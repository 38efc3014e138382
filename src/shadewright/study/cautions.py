"""Sentences that stand on every study, page and sheet."""

from __future__ import annotations

from shadewright.lamp.model import Lamp

MAINS = (
    "Mains voltage kills. Local codes come first; wiring is for someone licensed or competent to do it.",
    "Lampholder, cord, cord grip, switch and plug are bought, approved parts. Never print, mend or adapt a live part "
    "or its insulation; a metal holder or pipe needs a protective earth.",
    "Unplug before changing the bulb or touching the fitting. Have the finished lamp tested before first use.",
)
HEAT = (
    "Use an LED bulb within the wattage stated here. Printed plastics soften: PLA from about 55 °C, PETG from about "
    "70 °C, and the collar of an LED bulb can reach 60 to 95 °C in open air.",
    "Before it is left on unattended: run it for three hours in the warmest place it will hang, measure the plastic "
    "nearest the bulb, and look for softening, smell and droop.",
)
SCOPE = (
    "Computed here: threads, clearances of thread, slide and push joints, and printability. Not computed by this "
    "version: temperature, strength, tipping and light. Nothing here calls a lamp safe.",
)
HANGING = (
    "People may be under it: give every hanging or wall-mounted piece a second means of retention that does not rely "
    "on printed plastic.",
)


def cautions_for(lamp: Lamp) -> tuple[str, ...]:
    """The cautions this lamp needs; mains cautions unless it plainly has no mains part.

    A lamp without any bought thing states nothing about its supply, so it gets them too.
    """
    bought = lamp.bought.values()
    electric = [thing for thing in bought if thing.kind in {"bulb", "holder", "cord", "switch", "plug", "cord grip"}]
    plainly_low_voltage = bool(electric) and not any(thing.mains for thing in electric)
    spoken = () if plainly_low_voltage else MAINS
    hanging = HANGING if lamp.surroundings.above_people else ()
    return (*spoken, *HEAT, *hanging, *SCOPE)
