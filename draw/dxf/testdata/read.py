"""Reads the DXF file that is named with ezdxf and prints what it found, a line a fact."""
import collections
import sys

import ezdxf
import ezdxf.bbox

doc = ezdxf.readfile(sys.argv[1])
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
    print("text", e.dxf.layer, "%.2f" % e.dxf.height, e.dxf.style, ezdxf.decode_dxf_unicode(e.plain_text()))
ids = set()
for e in msp:
    if e.has_xdata("TRAPWEIR"):
        ids.add(e.get_xdata("TRAPWEIR")[0].value)
for i in sorted(ids):
    print("id", i)
for l in doc.layers:
    print("layer", l.dxf.name, l.dxf.color, l.dxf.linetype, l.dxf.lineweight)
print("units", doc.units, "measure", doc.header.get("$MEASUREMENT"), "lfac %g" % doc.header.get("$DIMLFAC", 1))
print("extents %.1f %.1f %.1f %.1f" % (doc.header["$EXTMIN"][:2] + doc.header["$EXTMAX"][:2]))
inserts = collections.Counter(e.dxf.name for e in msp.query("INSERT"))
for name in sorted(inserts):
    print("block", name, inserts[name])
for e in msp.query("LINE LWPOLYLINE CIRCLE ARC"):
    if e.dxf.hasattr("lineweight"):
        print("weight", e.dxf.layer, e.dxf.lineweight)


def flat(e):
    """An inserted block as what it draws."""
    return e.virtual_entities() if e.dxftype() == "INSERT" else [e]


def disc(e):
    """A filled circle is a closed polyline of two wide half turns."""
    return e.dxftype() == "LWPOLYLINE" and e.closed and e.dxf.hasattr("const_width")


boxes = collections.defaultdict(list)
for e in msp:
    if e.has_xdata("TRAPWEIR"):
        i = e.get_xdata("TRAPWEIR")[0].value
        boxes[i] += [x for x in flat(e) if x.dxftype() != "TEXT" and not disc(x)]
for i in sorted(boxes):
    if " " in i or not boxes[i]:
        continue
    b = ezdxf.bbox.extents(boxes[i])
    print("box", i, "%.3f %.3f %.3f %.3f" % (b.extmin.x, b.extmin.y, b.extmax.x, b.extmax.y))
