"""The parameter table: rows of vec4 that tell the shader what each map is made of.

A palette or a moved coat changes this table alone; maps and programs stay. Row 0 is the cup, then
come the sheets, the populations of flakes, the bare steel, and the swatches of the palette's roles.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from mockup.material.channels import FRESNEL_TERMS, GRATING_BANDS, LOBE_TERMS, MAPS, slots
from mockup.material.coat import K1, K2, kept_inside, optical_depth
from mockup.material.grating import BAND_NM, FIRST_NM, Grating
from mockup.material.optics import Optics, fresnel_at
from mockup.shading.finish import mirrored_spread, seen_alphas, seen_spread
from mockup.shading.gaps import GAP_NODES, MOST_DEPTH, find_gaps, second_exit
from mockup.shading.lobes import COAT_IOR, LOWEST_COSINE, find_lobes
from mockup.skin.skin import MOST_POPULATIONS, MOST_SHEETS, Flakes, Skin

__all__ = ["build_table", "constants", "flake_cells", "foil_quality"]

ROW_SHEETS = 1
ROW_FLAKES = ROW_SHEETS + MOST_SHEETS
ROW_GAPS = ROW_FLAKES + MOST_POPULATIONS
ROW_STEEL = ROW_GAPS + MOST_POPULATIONS
ROW_ROLES = ROW_STEEL + 1

HEXAGON = np.sqrt(3) / 2  # area over (across flats)², and across flats over corner to corner
FLAKE_FILM_MM = 0.04  # polyester film, typical 0.025 to 0.05
LAYER_MM = 0.12  # height of a layer of flakes strewn on wet adhesive, typical


def constants() -> dict[str, int | float]:
    """The #defines that the shading source expects, from the channel table."""
    edge, relief = MAPS["edge_distance"], MAPS["relief"]
    return {
        **{f"SLOT_{name.upper()}": at for name, at in slots().items()},
        "FRESNEL_TERMS": FRESNEL_TERMS,
        "LOBE_TERMS": LOBE_TERMS,
        "GRATING_BANDS": GRATING_BANDS,
        "FIRST_UM": FIRST_NM / 1e3,
        "BAND_UM": BAND_NM / 1e3,
        "LOWEST_COSINE": LOWEST_COSINE,
        "ROW_SHEETS": ROW_SHEETS,
        "ROW_FLAKES": ROW_FLAKES,
        "ROW_GAPS": ROW_GAPS,
        "ROW_STEEL": ROW_STEEL,
        "GAP_NODES": GAP_NODES,
        "MOST_DEPTH": MOST_DEPTH,
        "EDGE_LOW": edge.low,
        "EDGE_HIGH": edge.high,
        "RELIEF_LOW": relief.low,
        "RELIEF_HIGH": relief.high,
    }


def foil_quality(skin: Skin, optics: Mapping[str, Optics]) -> tuple[int, int]:
    """(samples, second bounces) a sub-sample of a still needs for the roughest metal sheet."""
    metals = [optics[s.role] for s in skin.sheets if optics[s.role].metal]
    alphas = [metal.alpha * max(metal.stretch) for metal in metals]
    if not alphas or max(alphas) <= 0.11:
        return 16, 0  # narrow lobes: the tabulated direction of the returned light is enough
    return 64, 16


def mean_upright(tilt_deg: float) -> float:
    """⟨m_z⟩ of flakes with Rayleigh-distributed slope: ∫ exp(−s²/2σ²) s/σ² /√(1 + s²) ds."""
    sigma = np.tan(np.radians(tilt_deg))
    u = (np.arange(4000) + 0.5) / 4000
    return float(np.mean(1 / np.sqrt(1 - 2 * sigma**2 * np.log(1 - u))))


def flake_cells(flakes: Flakes, radius_min_mm: float) -> tuple[float, float, int, int]:
    """(corner to corner mm, cell height mm, columns, salt) of a population's hash cells.

    A cell is never smaller than a flake, so that a point is covered by flakes of four cells only.
    """
    across = flakes.cut_mm / HEXAGON
    columns = int(2 * np.pi * radius_min_mm / across)
    return across, 2 * np.pi * radius_min_mm / columns, columns, 0


def build_table(
    skin: Skin,
    optics: Mapping[str, Optics],
    steel: Optics,
    transmittance_per_mm: Mapping[str, NDArray[np.float64]],
    *,
    radius_min_mm: float,
    illuminant: str = "D65",
    crinkle: float = 1.0,
) -> NDArray[np.float32]:
    """Fill the table: (rows, slots, 4) float32.

    Parameters
    ----------
    optics
        Compiled swatch of every role that the skin names.
    steel
        Of the bare cup.
    transmittance_per_mm
        (81,) of the roles that tint a coat, by wavelength.
    radius_min_mm
        Of the wall where flakes lie.
    illuminant
        Under which the optics were compiled.
    crinkle
        How strongly foil is crinkled; 0 is laid perfectly smooth.
    """
    roles = sorted(optics)
    row_of = {role: ROW_ROLES + i for i, role in enumerate(roles)}
    table = np.zeros((ROW_ROLES + len(roles), slots()["count"], 4), np.float32)
    base_row = row_of[skin.base_role] if skin.base_role is not None else ROW_STEEL
    table[0, 0] = skin.grid.length_mm, COAT_IOR, skin.base_depth_mm, base_row
    sigma = mirrored_spread(skin.clear.finish)
    table[0, 1, 1] = 1 + np.log2(sigma / np.radians(0.5)) if sigma > 0 else 0.0
    table[0, 2, :2] = K2(COAT_IOR), float(skin.base_depth_mm <= 0)
    base = optics[skin.base_role] if skin.base_role is not None else steel
    table[0, 4, :3] = matt_reflectance(base, skin.base_depth_mm)

    def tint(depth_mm: float, of: Optics) -> NDArray[np.float64]:
        """Optical depth, straight through, of the tinted coats above a layer (outermost first)."""
        passed, left = np.ones(81), depth_mm
        for role, thickness_mm in reversed(skin.clear.tints):
            taken = min(left, thickness_mm)
            if role:
                passed = passed * transmittance_per_mm[role] ** taken
            left -= taken
        if not skin.clear.tints:
            return np.zeros(3)
        return optical_depth(passed, illuminant, behind=of.spectrum)

    table[0, 3, :3] = tint(skin.base_depth_mm, base)
    table[0, 5, :3] = kept_inside(table[0, 3, :3], COAT_IOR)
    for i, sheet in enumerate(skin.sheets):
        own = optics[sheet.role]
        finish = skin.clear.finish if sheet.depth_mm > 0 else "gloss"
        along, up = seen_alphas(own, finish, COAT_IOR)
        veil = tint(sheet.depth_mm, own)
        table[ROW_SHEETS + i, 0] = row_of[sheet.role], sheet.order, sheet.depth_mm, along
        table[ROW_SHEETS + i, 1] = *veil, crinkle
        table[ROW_SHEETS + i, 4, :3] = kept_inside(veil, COAT_IOR)
        table[ROW_SHEETS + i, 2] = *matt_reflectance(own, sheet.depth_mm), up
        table[ROW_SHEETS + i, 3] = _lie_of_grooves(own.grating, radius_min_mm)
    for i, flakes in enumerate(skin.flakes):
        _fill_flakes(table[ROW_FLAKES + i], i, flakes, row_of, radius_min_mm)
        mean = sum(share * fresnel_at(optics[r].fresnel_coated, 0.97) for r, share in flakes.mix)
        table[ROW_FLAKES + i, 11, :3] = mean
        if flakes.depth_mm > 0:
            table[ROW_FLAKES + i, 2, 2] = seen_spread(skin.clear.finish, COAT_IOR)
        _fill_mixed(table[ROW_FLAKES + i], flakes, optics)
        _fill_gaps(table[ROW_GAPS + i], flakes)
        table[ROW_FLAKES + i, 9, :3] = tint(flakes.depth_mm, optics[flakes.mix[0][0]])
    _fill_swatch(table[ROW_STEEL], steel)
    for role in roles:
        _fill_swatch(table[row_of[role]], optics[role])
    return table


def matt_reflectance(optics: Optics, depth_mm: float) -> NDArray[np.float64]:
    """Reflectance below the face for paint or vinyl: (3,) float64, linear sRGB.

    Under resin the face is the resin's. Without resin the dry material is its own face, and what
    lies below it is found from the dry reflectance by Saunderson (1942) backwards.
    """
    if depth_mm > 0:
        return optics.reflectance
    dry = np.minimum(optics.reflectance_bare, 1 - K1(COAT_IOR))
    return np.asarray(dry / ((1 - K1(COAT_IOR)) * (1 - K2(COAT_IOR)) + dry * K2(COAT_IOR)))


def _fill_flakes(
    row: NDArray[np.float32],
    index: int,
    flakes: Flakes,
    row_of: Mapping[str, int],
    radius_min_mm: float,
) -> None:
    across, height, columns, _ = flake_cells(flakes, radius_min_mm)
    upright = mean_upright(flakes.tilt_deg)  # a tilted flake hides less: drawn flat, it is smaller
    salt = 100 + 200 * index + 2000 * (flakes.seed % 8000)
    row[0] = across * np.sqrt(upright), height, columns, salt
    area = HEXAGON * flakes.cut_mm**2
    radius = np.sqrt(area / np.pi)
    slope = np.tan(np.radians(flakes.tilt_deg))
    low_mm, high_mm = flake_heights(flakes)
    row[1] = 1 / (area * upright), slope, (high_mm - low_mm) / radius, len(flakes.mix)
    row[2] = flakes.order, flakes.depth_mm, 0, 0
    row[10] = second_exit(flakes.tilt_deg, COAT_IOR)
    total = 0.0
    for j, (role, share) in enumerate(flakes.mix):
        total += share
        row[3 + j, :2] = (total if j + 1 < len(flakes.mix) else 2.0), row_of[role]


def flake_heights(flakes: Flakes) -> tuple[float, float]:
    """Lowest and highest middle of a flake over the paint, mm.

    Flakes strewn on wet adhesive lie on it and on each other; a tilted one stands up by its
    width. The height decides how much light reaches the paint between them.
    """
    stands = flakes.cut_mm / HEXAGON * np.sin(np.radians(flakes.tilt_deg))
    return FLAKE_FILM_MM / 2, FLAKE_FILM_MM / 2 + max(LAYER_MM, stands)


def _fill_mixed(row: NDArray[np.float32], flakes: Flakes, optics: Mapping[str, Optics]) -> None:
    """What a mix does on the whole: light in a grating's orders, light that passes."""
    orders, periods = 0.0, 0.0
    passed = np.zeros(3)
    for role, share in flakes.mix:
        grating = optics[role].grating
        if grating is not None:
            in_orders = share * 2 * (grating.first + grating.second)
            orders, periods = orders + in_orders, periods + in_orders * grating.period_um
        passed += share * optics[role].transmittance
    row[12] = orders, periods / orders if orders else 0.0, 0.0, 0.0
    row[13, :3] = passed


def _fill_gaps(row: NDArray[np.float32], flakes: Flakes) -> None:
    low_mm, high_mm = flake_heights(flakes)
    radius = np.sqrt(HEXAGON * flakes.cut_mm**2 / np.pi)
    gaps = find_gaps(float(radius), low_mm, high_mm, flakes.tilt_deg, COAT_IOR)
    nodes = np.stack(
        [gaps.seen, gaps.out, gaps.back, gaps.all_,
         gaps.out_under, gaps.back_under, gaps.all_under, gaps.head], axis=-1,
    )  # fmt: skip
    row[: 2 * GAP_NODES] = nodes.reshape(2 * GAP_NODES, 4)


def _fill_swatch(row: NDArray[np.float32], optics: Optics) -> None:
    at = slots()
    lobes = find_lobes(optics.alpha * sum(optics.stretch) / 2)  # nearest to traced brushed metal
    row[at["reflectance"]] = *optics.reflectance, float(optics.metal)
    fits = (("coated", optics.fresnel_coated), ("bare", optics.fresnel_bare))
    for (name, terms), lowest in zip(fits, optics.lowest_cosines, strict=True):
        first = at[f"fresnel_{name}"]
        row[first : first + FRESNEL_TERMS, :3] = terms
        row[first + 1, 3] = lowest
    row[at["fresnel_bare"], 3] = lobes.single_bare
    row[at["lobes_coated"] : at["lobes_coated"] + LOBE_TERMS] = lobes.coated
    row[at["exit_coated"]] = lobes.exit_up
    row[at["passes"], :3] = optics.transmittance / np.maximum(1 - optics.fresnel_coated[0], 1e-3)
    if optics.grating is not None:
        grating = optics.grating
        row[at["grating"], :3] = grating.period_um, grating.first, grating.second
        row[at["bands"] : at["bands"] + GRATING_BANDS, :3] = grating.bands


def _lie_of_grooves(grating: Grating | None, radius_min_mm: float) -> tuple[float, ...]:
    """(turn of the vector across the grooves, directions, columns of shards, their height mm).

    Columns of shards close round the cup; their number is 0 where all of the sheet lies alike.
    """
    if grating is None:
        return 0.0, 0.0, 0.0, 0.0
    across = np.pi / 2 if grating.grooves == "round" else 0.0
    directions = 2.0 if grating.grooves == "crossed" else 1.0
    if grating.grooves != "shards":
        return across, directions, 0.0, 0.0
    columns = max(int(2 * np.pi * radius_min_mm / grating.shard_mm), 3)
    return across, directions, float(columns), 2 * np.pi * radius_min_mm / columns
