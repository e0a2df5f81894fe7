"""What kind of file an asset is, by its content; its name has to agree."""

from mockup.design.document import Asset
from mockup.errors import AssetError

__all__ = ["kind_of"]

_SUFFIXES = {
    "png": "PNG",
    "jpg": "JPEG",
    "jpeg": "JPEG",
    "jpe": "JPEG",
    "tif": "TIFF",
    "tiff": "TIFF",
    "webp": "WEBP",
    "svg": "SVG",
    "svgz": "SVG",
}
_OPENABLE = {"PNG", "JPEG", "TIFF", "WEBP"}
_BEGINNINGS = (
    (b"\x89PNG\r\n\x1a\n", "PNG"),
    (b"\xff\xd8\xff", "JPEG"),
    (b"II*\0", "TIFF"),
    (b"MM\0*", "TIFF"),
    (b"II+\0", "TIFF"),
    (b"MM\0+", "TIFF"),
    (b"GIF8", "GIF"),
    (b"BM", "BMP"),
    (b"%PDF", "PDF"),
    (b"%!PS", "PostScript"),
    (b"8BPS", "PSD"),
    (b"PK\x03\x04", "ZIP"),
    (b"\x1f\x8b", "gzip"),
    (b"\0\0\x01\0", "ICO"),
    (b"\0\x01\0\0", "TrueType font"),
    (b"OTTO", "OpenType font"),
    (b"wOF", "web font"),
)


def kind_of(asset: Asset, *, where: str) -> str:
    """``PNG``, ``JPEG``, ``TIFF``, ``WEBP`` or ``SVG``, by content.

    Raises
    ------
    AssetError
        The content is something else, or not what the name says.
    """
    found = _sniffed(asset.data)
    suffix = asset.name.rpartition(".")[2].lower()
    named = _SUFFIXES.get(suffix)
    if found == "gzip" and named == "SVG":
        found = "SVG"
    if found != "SVG" and found not in _OPENABLE:
        raise AssetError(
            f"{asset.name} is {_with_article(found)}",
            where=where,
            remedy="Save it as PNG, JPEG, TIFF, WebP or SVG",
        )
    if found != named:
        raise AssetError(
            f"{asset.name} is {_with_article(found)} by its content, not what its name says",
            where=where,
            remedy=f"Rename it to end in .{found.lower()} or name another file",
        )
    return found


def _sniffed(data: bytes) -> str:
    if not data:
        return "empty file"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    if data[4:8] == b"ftyp":
        return "HEIC, AVIF or video file"
    for beginning, kind in _BEGINNINGS:
        if data.startswith(beginning):
            return kind
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        head = data[:8192].decode("utf-16", errors="ignore").lower().encode()
    if b"<svg" in head or head.startswith((b"<?xml", b"<!doctype svg")):
        return "SVG"
    if b"<html" in head or head.startswith(b"<!doctype html"):
        return "web page"
    return "file of an unknown kind"


def _with_article(kind: str) -> str:
    named = {"WEBP": "a WebP file", "SVG": "an SVG file", "empty file": "empty"}
    if kind in named:
        return named[kind]
    article = "an" if kind[0] in "IO" else "a"
    whole = kind.endswith(("font", "file", "page", "kind"))
    return f"{article} {kind}" if whole else f"{article} {kind} file"
