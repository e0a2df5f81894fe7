"""Path-trace one scene file with Mitsuba 3, a general research renderer, as the oracle.

Stands alone: needs numpy and mitsuba only, so that it also runs where the project is not installed.

    python trace.py SCENE.npz -o FOLDER --spp 1024 --variant llvm_ad_spectral
    python trace.py SCENE.npz -o FOLDER --spp 1024 --variant llvm_ad_rgb --step-nm 10

With --step-nm each channel of a picture is light of one wavelength, so that the picture under any
illuminant can be worked out afterwards; the surroundings must then be grey.

The scene file is written by scenes.py. Every dielectric and conductor is real geometry: the resin
is a closed shell, the metals lie 0.05 mm over the paint, flakes are hexagons of their own.
"""

import argparse
import json
import time
from pathlib import Path

import mitsuba as mi
import numpy as np


def mesh(name, vertices, faces, bsdf, normals=None, uv=None, inside=None):
    """A triangle mesh from arrays."""
    properties = mi.Properties()
    properties["mesh_bsdf"] = mi.load_dict(bsdf)
    if inside is not None:
        properties["interior"] = mi.load_dict(inside)
    made = mi.Mesh(
        name,
        len(vertices),
        len(faces),
        has_vertex_normals=normals is not None,
        has_vertex_texcoords=uv is not None,
        props=properties,
    )
    params = mi.traverse(made)
    params["vertex_positions"] = np.ascontiguousarray(vertices, np.float32).ravel()
    params["faces"] = np.ascontiguousarray(faces, np.uint32).ravel()
    if normals is not None:
        params["vertex_normals"] = np.ascontiguousarray(normals, np.float32).ravel()
    if uv is not None:  # brushed metal runs along u, round the cup
        params["vertex_texcoords"] = np.ascontiguousarray(uv, np.float32).ravel()
    params.update()
    return made


def revolve(radii, z, start=-np.pi, end=np.pi):
    """Frustum between rings of the given radii and heights, with exact normals."""
    columns = max(int(512 * (end - start) / (2 * np.pi)), 8)
    a = np.linspace(start, end, columns + 1)
    slope = (radii[-1] - radii[0]) / (z[-1] - z[0]) if z[-1] != z[0] else 0.0
    r, zz = np.asarray(radii)[:, None], np.asarray(z)[:, None]
    v = np.stack([r * np.sin(a), -r * np.cos(a), zz + 0 * a], -1)
    n = np.stack([np.sin(a) + 0 * r, -np.cos(a) + 0 * r, -slope + 0 * (r * a)], -1)
    n /= np.linalg.norm(n, axis=-1, keepdims=True)
    i, j = np.meshgrid(np.arange(len(radii) - 1), np.arange(columns), indexing="ij")
    k = (i * (columns + 1) + j).ravel()
    up = k + columns + 1
    faces = np.concatenate([np.stack([k, k + 1, up + 1], 1), np.stack([k, up + 1, up], 1)])
    uv = np.stack(
        [a / (2 * np.pi) + 0.5 + 0 * r, np.linspace(0, 1, len(radii))[:, None] + 0 * a], -1
    )
    return v.reshape(-1, 3), faces, n.reshape(-1, 3), uv.reshape(-1, 2)


CHANNELS_NM = []  # wavelengths that stand for red, green and blue, or none


def spectrum(wavelengths, values):
    if CHANNELS_NM:
        return rgb(np.interp(CHANNELS_NM, wavelengths, values))
    return {
        "type": "spectrum",
        "value": [(float(w), float(v)) for w, v in zip(wavelengths, values, strict=True)],
    }


def rgb(values):
    return {"type": "rgb", "value": [float(v) for v in values]}


def bsdf_of(band, scene):
    """The material of a band or of a set of flakes."""
    if band["kind"] == "pigment":
        return {"type": "diffuse", "reflectance": spectrum(band["nm"], band["reflectance"])}
    w = scene["metal_nm"]
    metal = {
        "eta": spectrum(w, band["n"]),
        "k": spectrum(w, band["k"]),
        "specular_reflectance": spectrum(band["nm"], band["tint"]),
    }
    if band["alpha"][0] <= 0:
        return {"type": "conductor", **metal}
    along, up = band["alpha"]
    return {
        "type": "roughconductor",
        "distribution": "ggx",
        "alpha_u": along,
        "alpha_v": up,
        **metal,
    }


def tinted(facts):
    """The resin as a medium that takes light and scatters none, or None where it is clear."""
    if "absorption_per_mm" not in facts:
        return None
    return {
        "type": "homogeneous",
        "sigma_t": spectrum(facts["tint_nm"], facts["absorption_per_mm"]),
        "albedo": rgb([0, 0, 0]),
    }


def environment(radiance):
    """The stage's light map (row 0 the zenith, middle column towards −y) as Mitsuba's."""
    rows, columns, _ = radiance.shape
    theta = np.arange(rows) / (rows - 1) * np.pi
    a = (np.arange(columns) + 0.5) / columns * 2 * np.pi  # world x = sin a, y = cos a
    azimuth = np.arctan2(np.sin(a), -np.cos(a))  # 0 towards −y, growing to +x
    u = (azimuth / (2 * np.pi) + 0.5) * columns - 0.5
    v = np.clip(theta / np.pi * rows - 0.5, 0, rows - 1)
    u0, v0 = np.floor(u).astype(int), np.minimum(np.floor(v).astype(int), rows - 2)
    fu, fv = (u - u0)[None, :, None], (v - v0)[:, None, None]
    at = lambda dv, du: radiance[(v0 + dv)[:, None], ((u0 + du) % columns)[None, :]]  # noqa: E731
    bitmap = (at(0, 0) * (1 - fu) + at(0, 1) * fu) * (1 - fv) + (
        at(1, 0) * (1 - fu) + at(1, 1) * fu
    ) * fv
    transform = mi.ScalarTransform4f().rotate([1, 0, 0], 90.0)
    return {
        "type": "envmap",
        "bitmap": mi.Bitmap(np.ascontiguousarray(bitmap, np.float32)),
        "to_world": transform,
    }


def bitmap(image, raw):
    return {"type": "bitmap", "bitmap": mi.Bitmap(np.ascontiguousarray(image)), "raw": raw}


def whole_wall(facts, data, inner, z, z0):
    """Artwork, decals as masks on shells of their own, and every flake, of a whole design."""
    v, f, n, uv = revolve(inner(z, facts["art_depth_mm"]), z + z0)
    art = {"type": "diffuse", "reflectance": bitmap(data["art"], raw=False)}
    parts = {"art": mesh("art", v, f, {"type": "twosided", "b": art}, n, uv)}
    masks = np.unpackbits(data["masks"], axis=1, count=int(data["columns"]))
    for i, sheet in enumerate(facts["sheets"]):
        v, f, n, uv = revolve(inner(z, sheet["depth_mm"]), z + z0)
        masked = {
            "type": "mask",
            "opacity": bitmap(masks[..., i : i + 1].astype(np.float32), raw=True),
            "b": {"type": "twosided", "b": bsdf_of(sheet, facts)},
        }
        parts[f"sheet{i}"] = mesh(f"sheet{i}", v, f, masked, n, uv)
    corners, role = flake_corners(facts, data)
    fan = np.array([[0, k, k + 1] for k in range(1, 5)]).ravel()
    for i in np.unique(role):
        own = corners[role == i]
        faces = (np.arange(len(own))[:, None] * 6 + fan).reshape(-1, 3)
        look = {"type": "twosided", "b": bsdf_of(facts["strewn"][i], facts)}
        parts[f"strewn{i}"] = mesh(f"strewn{i}", own.reshape(-1, 3), faces, look)
    return parts


def flake_corners(facts, data):
    """((n, 6, 3) corners in mm, (n,) role) of strewn flakes, each at its own depth."""
    at = {key[6:]: data[key].astype(float) for key in data if key.startswith("flake_")}
    rise = facts["rim_radius_mm"] - facts["foot_radius_mm"]
    length = np.hypot(facts["height_mm"], rise)
    sin, cos = rise / length, facts["height_mm"] / length
    out = np.stack([np.sin(at["turn"]), -np.cos(at["turn"]), 0 * at["turn"]], -1)
    right = np.stack([np.cos(at["turn"]), np.sin(at["turn"]), 0 * at["turn"]], -1)
    upright = np.array([0.0, 0.0, 1.0])
    up, wall = sin * out + cos * upright, cos * out - sin * upright
    place = (facts["foot_radius_mm"] + at["height"] * sin)[:, None] * out
    place = place + (facts["foot_z_mm"] + at["height"] * cos)[:, None] * upright
    place = place - at["below"][:, None] * wall
    normal = wall + at["slope_x"][:, None] * right + at["slope_y"][:, None] * up
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    a = right - normal * (right * normal).sum(1, keepdims=True)
    a /= np.linalg.norm(a, axis=1, keepdims=True)
    b = np.cross(normal, a)
    angle = at["rotation"][:, None] + np.arange(6) * np.pi / 3
    corner = (at["cut"] / np.sqrt(3))[:, None, None]
    turned = np.cos(angle)[..., None] * a[:, None] + np.sin(angle)[..., None] * b[:, None]
    return place[:, None] + corner * turned, at["role"].astype(int)


def build(facts, radiance, flakes):
    """The scene dictionary."""
    foot, rim, height = facts["foot_radius_mm"], facts["rim_radius_mm"], facts["height_mm"]
    z0, depth = facts["foot_z_mm"], facts["coat_mm"]
    cos = height / np.hypot(height, rim - foot)
    outer = lambda z: foot + (rim - foot) * z / height  # noqa: E731
    inner = lambda z, below=depth: outer(z) - below / cos  # noqa: E731
    camera = facts["camera"]
    scene = {
        "type": "scene",
        "integrator": {
            "type": "volpathmis" if "absorption_per_mm" in facts else "path",
            "max_depth": 48,
            "rr_depth": 100,
            "hide_emitters": True,
        },
        "sensor": {
            "type": "perspective",
            "fov": camera["vertical_fov_deg"],
            "fov_axis": "y",
            "to_world": mi.ScalarTransform4f().look_at(
                origin=camera["position_mm"], target=camera["target_mm"], up=camera["up"]
            ),
            "film": {
                "type": "hdrfilm",
                "width": facts["size_px"][0],
                "height": facts["size_px"][1],
                "pixel_format": "rgba",
                "component_format": "float32",
                "rfilter": {"type": "box"},
            },
        },
        "light": environment(radiance),
    }
    for i, band in enumerate(facts["bands"]):
        low, high = band["from_mm"] * cos, band["to_mm"] * cos
        lift = 0.0 if band["kind"] == "pigment" else 0.05
        z = np.linspace(low, high, 4)
        for j, part in enumerate(band.get("stripes", [band])):
            v, f, n, uv = revolve(inner(z) + lift, z + z0, *part.get("turns_rad", []))
            scene[f"band{i}_{j}"] = mesh(
                f"band{i}_{j}", v, f, {"type": "twosided", "b": bsdf_of(part, facts)}, n, uv
            )
    z = np.linspace(0, height, 8)
    if "strewn" in facts:
        scene |= whole_wall(facts, flakes, inner, z, z0)
    if depth > 0:
        resin = {"type": "dielectric", "int_ior": facts["ior"], "ext_ior": 1.0}
        v, f, n, uv = revolve(outer(z), z + z0)
        scene["face"] = mesh("face", v, f, resin, n, inside=tinted(facts))
    dark = {"type": "twosided", "b": {"type": "diffuse", "reflectance": rgb([0, 0, 0])}}
    ends = () if facts.get("open_ends") else (("foot", 0.0), ("rim", height))
    for name, at in ends:
        v, f, _, _ = revolve(np.array([1e-3, outer(at)]), np.array([at + z0, at + z0]))
        scene[name] = mesh(name, v, f, dark)
    for i, group in enumerate(facts.get("flakes", [])):
        which = flakes[f"group{i}"]
        corners = flakes["vertices"][which]  # (flakes, 6, 3)
        fan = np.array([[0, k, k + 1] for k in range(1, 5)]).ravel()
        faces = (np.arange(len(corners))[:, None] * 6 + fan).reshape(-1, 3)
        scene[f"flakes{i}"] = mesh(
            f"flakes{i}",
            corners.reshape(-1, 3),
            faces,
            {"type": "twosided", "b": bsdf_of(group, facts)},
        )
    return scene


def trace(facts, radiance, laid, spp):
    """(mean, noise) of a scene: (rows, columns, channels) each."""
    scene = mi.load_dict(build(facts, radiance, laid))
    halves, passes = [0.0, 0.0], max(2, spp // 256 * 2)
    for k in range(passes):
        halves[k % 2] = halves[k % 2] + np.array(mi.render(scene, spp=spp // passes, seed=k))
    halves = [np.asarray(h, np.float32) / (passes / 2) for h in halves]
    return 0.5 * (halves[0] + halves[1]), np.abs(halves[0] - halves[1]) / 2


def trace_wavelengths(facts, radiance, laid, spp, nm):
    """As `trace`, a channel for each wavelength."""
    found = []
    for k in range(0, len(nm), 3):
        three = [nm[min(k + j, len(nm) - 1)] for j in range(3)]
        CHANNELS_NM[:] = three
        found.append([x[..., : min(3, len(nm) - k)] for x in trace(facts, radiance, laid, spp)])
    mean, noise = (np.concatenate(parts, -1) for parts in zip(*found, strict=True))
    return mean, noise


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("scenes", nargs="+")
    parser.add_argument("-o", required=True, help="folder for the traced pictures")
    parser.add_argument("--spp", type=int, default=1024)
    parser.add_argument("--variant", default="llvm_ad_spectral")
    parser.add_argument("--step-nm", type=float, default=0.0)
    args = parser.parse_args()
    mi.set_variant(args.variant)
    mi.set_log_level(mi.LogLevel.Error)
    for path in args.scenes:
        data = np.load(path)
        facts = json.loads(str(data["facts"]))
        laid = np.load(Path(path).parent / facts["laid"]) if "laid" in facts else data
        radiance, start = data["radiance"].astype(np.float32), time.time()
        if args.step_nm:
            nm = np.arange(380.0, 780.1, args.step_nm)
            mean, noise = trace_wavelengths(facts, radiance, laid, args.spp, nm)
        else:
            nm = np.zeros(0)
            mean, noise = trace(facts, radiance, laid, args.spp)
        name = path.rsplit("/", 1)[-1]
        np.savez_compressed(
            f"{args.o}/{name}",
            mean=mean.astype(np.float16),
            noise=noise.astype(np.float16),
            nm=nm,
            seconds=time.time() - start,
            spp=args.spp,
        )
        print(name, f"{time.time() - start:.1f} s", flush=True)


if __name__ == "__main__":
    main()
