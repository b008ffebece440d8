"""Reads a DXF from standard input with ezdxf and prints what it found, a line a fact."""
import collections
import io
import sys

import ezdxf

doc = ezdxf.read(io.StringIO(sys.stdin.read()))
audit = doc.audit()
print("version", doc.dxfversion)
print("errors", len(audit.errors), "fixes", len(audit.fixes))
for e in audit.errors + audit.fixes:
    print("#", e.message)
msp = doc.modelspace()
count = collections.Counter(e.dxftype() for e in msp)
for k in sorted(count):
    print("count", k, count[k])
for e in msp.query("TEXT"):
    print("text", e.dxf.layer, "%.2f" % e.dxf.height, e.dxf.style, e.plain_text())
ids = set()
for e in msp:
    if e.has_xdata("TRAPWEIR"):
        ids.add(e.get_xdata("TRAPWEIR")[0].value)
for i in sorted(ids):
    print("id", i)
for l in doc.layers:
    print("layer", l.dxf.name, l.dxf.color, l.dxf.linetype)
