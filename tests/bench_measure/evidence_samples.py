"""Prints and trials that the tests of the bench's evidence share; all invented."""

from __future__ import annotations

from shadewright.bench.records import PlasticCard, PrinterCard, PrintRecord, RungRecord, TrialRecord
from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Sex
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.evidence import FeatureKind, FeatureReading
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side

ATTIC = PrinterCard(name="attic", bed_x=180, bed_y=170, bed_z=160, nozzles=(0.6, 0.4))
MATTE = PlasticCard(name="matte", family="PLA", density_g_cm3=1.3, flow_limit_mm3_s=9)
PIECE = PrintRecord(
    name="attic piece",
    printer="attic",
    nozzle=0.4,
    plastic="matte",
    measured_on="2025-04-02",
    features=(
        FeatureReading(
            feature="A", kind=FeatureKind.OUTER, drawn=10.0, readings=(10.07, 10.1), print_name="attic piece"
        ),
        FeatureReading(
            feature="K",
            kind=FeatureKind.HOLE,
            drawn=8.0,
            readings=(7.81,),
            print_name="attic piece",
            caliper_sd=0.03,
            confirmed=True,
        ),
    ),
)
HABITS = built_in_habits(0.4, "PLA")
NECK = TrialRecord(
    name="porch/neck-1",
    lamp="porch",
    joint="neck",
    kind=JointKind.SLIDE,
    printer="attic",
    nozzle=0.4,
    plastic="matte",
    made_on="2025-04-03",
    rungs=(
        RungRecord(number=1, drawn=40.2, clearance=0.2, outcome=Feel.TIGHT),
        RungRecord(number=2, drawn=40.4, clearance=0.4, outcome=Feel.SNUG),
        RungRecord(number=3, drawn=40.6, clearance=0.6),
    ),
    question=JointQuestion(
        name="neck",
        kind=JointKind.SLIDE,
        feel=Feel.SNUG,
        nominal=40.0,
        length=12.0,
        male=Side(name="liner", drawn=40.0, habits=HABITS, sagitta=1 / 30),
        female=Side(name="shade", habits=HABITS, mouth_on_bed=True),
        liner_wall=1.2,
    ),
    rung_side="female",
    mate_drawn=40.0,
    mate_plastic="PETG",
)
RING = TrialRecord(
    name="porch/ring-1",
    lamp="porch",
    joint="ring",
    kind=JointKind.THREAD,
    printer="ATTIC",
    nozzle=0.4,
    plastic="Matte",
    made_on="2025-04-04",
    rungs=(RungRecord(number=1, drawn=27.0, clearance=0.3, outcome=Feel.EASY),),
    question=JointQuestion(
        name="ring",
        kind=JointKind.THREAD,
        feel=Feel.EASY,
        nominal=thread("E27").major,
        length=9.0,
        male=Side(name="holder", bought=thread("E27").felt_diameter(Sex.MALE)),
        female=Side(name="ring", habits=HABITS),
        thread=thread("E27"),
    ),
    rung_side="female",
)
