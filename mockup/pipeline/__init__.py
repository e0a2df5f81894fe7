"""The table of contents: every stage is called once, in its order.

design → blank → skin → render → checks → outputs. `cup` makes a design ready and draws it;
`pictures` and `making` write what the customer sees and what the maker works from.
"""

from mockup.outputs.demo import write_demo
from mockup.pipeline.batch import Made, batch
from mockup.pipeline.check import check
from mockup.pipeline.compare import SHOT as OPTIONS_SHOT
from mockup.pipeline.compare import Option, Setting, compare, fitting
from mockup.pipeline.cup import Cup, Shot, build_cup, picture_request, render_cup
from mockup.pipeline.desk import (
    demo_design,
    flat_of,
    new_design,
    packed,
    parcel_of,
    png,
    remade_cup,
    seam_of,
    strip_of,
    unpacked,
)
from mockup.pipeline.making import cut, plan, shopping, worksheet, write_shelf, write_stock
from mockup.pipeline.options import Options, options, options_facts
from mockup.pipeline.pictures import render
from mockup.pipeline.proof import order_proof, proof
from mockup.pipeline.proof_draw import Terms
from mockup.pipeline.turntable import turntable

__all__ = [
    "OPTIONS_SHOT",
    "Cup",
    "Made",
    "Option",
    "Options",
    "Setting",
    "Shot",
    "Terms",
    "batch",
    "build_cup",
    "check",
    "compare",
    "cut",
    "demo_design",
    "fitting",
    "flat_of",
    "new_design",
    "options",
    "options_facts",
    "order_proof",
    "packed",
    "parcel_of",
    "picture_request",
    "plan",
    "png",
    "proof",
    "remade_cup",
    "render",
    "render_cup",
    "seam_of",
    "shopping",
    "strip_of",
    "turntable",
    "unpacked",
    "worksheet",
    "write_demo",
    "write_shelf",
    "write_stock",
]
