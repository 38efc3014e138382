"""A printer of nobody's, for tests that cannot take a fixture."""

from shadewright.printing import AsPrinted, Plastic, PrintSetup, Spread

EXACT = Spread(0.0, 0.0)


def plain_setup() -> PrintSetup:
    """A 0.4 mm nozzle, 0.2 mm layers and plain settings."""
    return PrintSetup(
        printer="the workshop printer",
        bed_x=220,
        bed_y=200,
        bed_z=250,
        nozzle=0.4,
        line_width=0.45,
        layer=0.2,
        first_layer=0.2,
        walls=3,
        skins=4,
        infill=0.15,
        speed_mm_s=80,
        acceleration_mm_s2=1500,
        least_layer_s=8,
        warm_up_s=240,
        plastic=Plastic(name="PLA", density_g_cm3=1.24, flow_limit_mm3_s=11),
        habits=AsPrinted(
            outer_growth=EXACT,
            hole_shrink=EXACT,
            hole_curl=EXACT,
            scale_xy=Spread(1.0, 0.0),
            scale_z=Spread(1.0, 0.0),
            flare=EXACT,
            scatter=0.0,
            source="test",
        ),
    )
