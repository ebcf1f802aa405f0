"""The least that the official rules cost: their stylesheets, compiled once, on one e-invoice.

No process apart, no schema, no reading back: ``python -m … FOLDER TIMES`` with invoice.xml there.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from statistics import median

from saxonche import PySaxonProcessor

from repairs.einvoice.rules.rule_sets import CII, EN16931, FRENCH_FILES, path_of
from repairs.measures.child import tell


def main() -> None:
    """Only run the rules over one invoice: the floor below which no check can come."""
    folder, times = Path(sys.argv[1]), int(sys.argv[2])
    text = (folder / "invoice.xml").read_text(encoding="utf-8")
    processor = PySaxonProcessor(license=False)
    compiler = processor.new_xslt30_processor()
    sheets = [
        compiler.compile_stylesheet(stylesheet_file=path_of(name))
        for name in (EN16931.xslt, FRENCH_FILES[CII])
    ]
    spent = []
    for _turn in range(times + 1):
        begun = time.perf_counter()
        node = processor.parse_xml(xml_text=text)
        for sheet in sheets:
            sheet.set_global_context_item(xdm_item=node)
            sheet.transform_to_string(xdm_node=node)
        spent.append(time.perf_counter() - begun)
    tell({"first_s": spent[0], "median_s": median(spent[1:])})


if __name__ == "__main__":
    main()
