"""What a document says of itself in XMP (ISO 16684-1): its title, language and that it is tagged as PDF/UA-1 asks."""

from __future__ import annotations

from xml.sax.saxutils import escape

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream

CREATOR, PRODUCER = "Castwalk", "ReportLab"
_BEGIN = '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>'
_NAMES = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "pdfuaid": "http://www.aiim.org/pdfua/ns/id/",
}


def metadata_stream(title: str, language: str, author: str) -> PDFStream:
    """The catalogue's ``Metadata``: uncompressed, without a date, so that the same pages give the same bytes.

    ``pdfuaid:part`` is the claim of ISO 14289-1, clause 5.
    """
    spaces = "".join(f' xmlns:{name}="{address}"' for name, address in _NAMES.items())
    creator = f"<dc:creator><rdf:Seq><rdf:li>{escape(author)}</rdf:li></rdf:Seq></dc:creator>" if author else ""
    packet = "\n".join(
        (
            _BEGIN,
            '<x:xmpmeta xmlns:x="adobe:ns:meta/">',
            '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
            f'<rdf:Description rdf:about=""{spaces}>',
            "<dc:format>application/pdf</dc:format>",
            f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape(title)}</rdf:li></rdf:Alt></dc:title>',
            f"<dc:language><rdf:Bag><rdf:li>{escape(language)}</rdf:li></rdf:Bag></dc:language>",
            *((creator,) if creator else ()),
            f"<pdf:Producer>{PRODUCER}</pdf:Producer>",
            f"<xmp:CreatorTool>{CREATOR}</xmp:CreatorTool>",
            "<pdfuaid:part>1</pdfuaid:part>",
            "</rdf:Description>",
            "</rdf:RDF>",
            "</x:xmpmeta>",
            '<?xpacket end="w"?>',
        )
    )
    words = PDFDictionary({"Type": PDFName("Metadata"), "Subtype": PDFName("XML")})
    return PDFStream(words, packet.encode())
