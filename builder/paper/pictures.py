"""Pictures as they lie in a PDF: the bytes of a PNG or JPEG file as they are, not compressed a second time."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator

from PIL import Image
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream

COLOURS = {0: 1, 2: 3}
"""Channels of PNG colour types that a PDF can take as they are: grey and RGB."""


def image_stream(file: bytes) -> PDFStream:
    """A PDF image of a picture file. Grey stays grey.

    A PNG of 8 bits in grey or RGB and a JPEG go in untouched (ISO 32000-1, 7.4.4.4: predictor 15 is PNG's own
    filters); any other picture is opened, laid on white and written as such a PNG first.
    """
    if file.startswith(b"\xff\xd8"):
        with Image.open(io.BytesIO(file)) as jpeg:
            assert jpeg.mode in ("L", "RGB"), "a JPEG is grey or RGB"
            size, grey = jpeg.size, jpeg.mode == "L"
        return _stream(file, size, grey, "DCTDecode", None)
    if not _plain_png(file):
        file = _as_png(file)
    width, height, _, colour = struct.unpack(">IIBB", file[16:26])
    data = b"".join(body for name, body in _chunks(file) if name == b"IDAT")
    parms = PDFDictionary({"Predictor": 15, "Colors": COLOURS[colour], "BitsPerComponent": 8, "Columns": width})
    return _stream(data, (width, height), colour == 0, "FlateDecode", parms)


def _stream(data: bytes, size: tuple[int, int], grey: bool, packed: str, parms: PDFDictionary | None) -> PDFStream:
    words = {
        "Type": PDFName("XObject"),
        "Subtype": PDFName("Image"),
        "Width": size[0],
        "Height": size[1],
        "BitsPerComponent": 8,
        "ColorSpace": PDFName("DeviceGray" if grey else "DeviceRGB"),
        "Filter": PDFName(packed),
    }
    if parms is not None:
        words["DecodeParms"] = parms
    return PDFStream(PDFDictionary(words), data)


def _plain_png(file: bytes) -> bool:
    if not file.startswith(b"\x89PNG\r\n\x1a\n"):
        return False
    depth, colour, _, _, interlaced = struct.unpack(">BBBBB", file[24:29])
    return depth == 8 and colour in COLOURS and not interlaced and all(name != b"tRNS" for name, _ in _chunks(file))


def _chunks(file: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 8
    while at < len(file):
        (long,) = struct.unpack(">I", file[at : at + 4])
        yield file[at + 4 : at + 8], file[at + 8 : at + 8 + long]
        at += 12 + long


def _as_png(file: bytes) -> bytes:
    with Image.open(io.BytesIO(file)) as given:
        if given.mode not in ("L", "RGB"):
            grey = given.mode in ("1", "LA", "I;16")
            clear = given.convert("LA" if grey else "RGBA")
            white = Image.new(clear.mode, clear.size, "white")
            given_plain = Image.alpha_composite(white.convert("RGBA"), clear.convert("RGBA"))
            picture = given_plain.convert("L" if grey else "RGB")
        else:
            picture = given.copy()
    out = io.BytesIO()
    picture.save(out, "PNG", compress_level=9)
    return out.getvalue()
