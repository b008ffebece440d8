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
    print("layer", l.dxf.name, l.dxf.color, l.dxf.linetype)


def discs(e):
    """A filled circle is a closed polyline of two wide half turns."""
    return e.dxftype() == "POLYLINE" and e.is_closed and any(v.dxf.bulge for v in e.vertices)


boxes = collections.defaultdict(list)
for e in msp:
    if e.has_xdata("TRAPWEIR") and e.dxftype() != "TEXT" and not discs(e):
        if e.dxftype() == "POLYLINE":  # the box of the middle line, not of its width
            e.dxf.discard("default_start_width")
            e.dxf.discard("default_end_width")
        boxes[e.get_xdata("TRAPWEIR")[0].value].append(e)
for i in sorted(boxes):
    if " " in i:
        continue
    b = ezdxf.bbox.extents(boxes[i])
    print("box", i, "%.3f %.3f %.3f %.3f" % (b.extmin.x, b.extmin.y, b.extmax.x, b.extmax.y))
