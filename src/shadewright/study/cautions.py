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
    "Use an LED bulb within the wattage stated here and within what is marked on the holder; in a closed shade only "
    "one that is marked for closed luminaires. No incandescent or halogen bulb in a shade of plastic that softens.",
    "Printed plastics soften: PLA from about 55 °C, PETG from about 70 °C, and the collar of an LED bulb can reach 60 "
    "to 95 °C in open air. Near the holder, cord and sleeves must be made for the warmth there.",
    "Before it is left on unattended: tape a thermocouple inside the wall above the bulb and one beside its collar, "
    "run it for two hours in the warmest room it will be used in, and watch. Switch off at 50 °C in PLA, 60 °C in "
    "PETG, or at any softening, smell or droop.",
    "How readily a plastic burns is for the filament's maker to prove. Luminaire standards (IEC 60598-1, in general "
    "terms) also ask for tests of heat, insulation, wiring and marking that nothing here takes the place of.",
)
SCOPE = (
    "Computed here: threads, clearances, printability, and, where the maker states enough, strength, balance and the "
    "warmth of the shade (when [warm] names it and the bulb has its watts). Not computed by this version: light. "
    "Nothing here calls a lamp safe.",
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
