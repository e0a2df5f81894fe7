"""The proof sheet: what the customer looks at, measures and signs before the first coat."""

from typing import NamedTuple

from mockup.outputs.facts import ProofFacts
from mockup.outputs.proof_cover import lay_out_cover
from mockup.outputs.proof_flat import lay_out_flat
from mockup.outputs.proof_flow import Flow
from mockup.outputs.proof_last import lay_out_last
from mockup.outputs.proof_materials import lay_out_materials
from mockup.outputs.sheet import Paper, Sheet

__all__ = ["ProofSheet", "lay_out_proof"]


class ProofSheet(NamedTuple):
    """The file, and the letters that its type lacks and that stand in it as boxes."""

    pdf: bytes
    missing_letters: tuple[str, ...]


def lay_out_proof(facts: ProofFacts, *, paper: Paper) -> ProofSheet:
    """Lay the proof out as a PDF of four pages or more: cup, flat, materials and sizes, the rest.

    The flat is at true size wherever the paper allows, else at a scale that the page states.
    The same facts give the same bytes.
    """
    sheet = Sheet(paper, f"{facts.title}: proof {facts.revision_label}", lenient=True)
    lay_out_cover(sheet, facts)
    lay_out_flat(sheet, facts)
    flow = Flow(sheet, facts)
    lay_out_materials(flow)
    lay_out_last(flow)
    return ProofSheet(sheet.finished(), tuple(sorted(sheet.missing)))
