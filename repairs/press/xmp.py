"""What a PDF claims to be beyond PDF/A, with the schema of each claim, which PDF/A demands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Claim:
    """One property; ``kind`` and ``category`` are words of the PDF/A extension schema."""

    name: str
    value: str
    says: str
    kind: str = "Text"
    category: str = "external"


@dataclass(frozen=True)
class Schema:
    """A namespace with what is claimed in it; PDF/A wants each property described."""

    title: str
    namespace: str
    prefix: str
    claims: tuple[Claim, ...]


PDF_UA = Schema(
    "PDF/UA identification schema",
    "http://www.aiim.org/pdfua/ns/id/",
    "pdfuaid",
    (Claim("part", "1", "part of ISO 14289 followed", "Integer", "internal"),),
)


def described(schemas: Sequence[Schema]) -> bytes:
    """The rdf:Description elements of all claims, and one that declares them all: XMP allows a
    property only once, so the schemas cannot be declared apart."""
    declared = "".join(map(_declared, schemas))
    return f"""{"".join(map(_claimed, schemas))}
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag>{declared}</rdf:Bag></pdfaExtension:schemas></rdf:Description>
""".encode()


def _claimed(schema: Schema) -> str:
    prefix = schema.prefix
    values = "".join(f"<{prefix}:{c.name}>{c.value}</{prefix}:{c.name}>" for c in schema.claims)
    return f"""
<rdf:Description rdf:about="" xmlns:{prefix}="{schema.namespace}">
{values}</rdf:Description>"""


def _declared(schema: Schema) -> str:
    return f"""<rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>{schema.title}</pdfaSchema:schema>
<pdfaSchema:namespaceURI>{schema.namespace}</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>{schema.prefix}</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq>{"".join(map(_property, schema.claims))}</rdf:Seq>
</pdfaSchema:property>
</rdf:li>"""


def _property(claim: Claim) -> str:
    return f"""<rdf:li rdf:parseType="Resource">
<pdfaProperty:name>{claim.name}</pdfaProperty:name>
<pdfaProperty:valueType>{claim.kind}</pdfaProperty:valueType>
<pdfaProperty:category>{claim.category}</pdfaProperty:category>
<pdfaProperty:description>{claim.says}</pdfaProperty:description>
</rdf:li>"""
