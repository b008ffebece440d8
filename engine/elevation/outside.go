package elevation

import (
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

const thou = unit.Inch / 1000 // 25 400 nm, whole

type diameter struct {
	size unit.Size
	od   unit.Length // thousandths of an inch
}

func in(quarters int64) unit.Size { return unit.Size(unit.Inch/4) * unit.Size(quarters) }

// Outside diameters, in thousandths of an inch.
//
// Plastic and steel: the iron pipe sizes of schedule 40. Source: ASTM D1785 and D2665
// (PVC), F628 (ABS), A53 (steel); table sizes_in_scope of the material facts, 2-1/2, 5 and
// 8 in from memory.
//
// Cast iron: the barrel of hubless pipe. Source: ASTM A888, CISPI 301 (8 in from memory).
//
// Copper: drainage tube, an eighth of an inch over its nominal size. Source: ASTM B306.
var (
	ironPipe = []diameter{{in(5), 1660}, {in(6), 1900}, {in(8), 2375}, {in(10), 2875}, {in(12), 3500}, {in(16), 4500}, {in(20), 5563}, {in(24), 6625}, {in(32), 8625}}
	hubless  = []diameter{{in(6), 1900}, {in(8), 2350}, {in(12), 3350}, {in(16), 4380}, {in(20), 5300}, {in(24), 6300}, {in(32), 8380}}
	copper   = []diameter{{in(5), 1375}, {in(6), 1625}, {in(8), 2125}, {in(12), 3125}, {in(16), 4125}, {in(24), 6125}}
)

// Outside is the outside diameter of a pipe by material and nominal size; ok is false where
// there is none on record (clay, lead, sizes that are not made).
func Outside(material string, s unit.Size) (od unit.Length, ok bool) {
	var list []diameter
	switch material {
	case "pvc", "abs", "galvanized steel", "brass":
		list = ironPipe
	case "cast iron":
		list = hubless
	case "copper":
		list = copper
	}
	for _, d := range list {
		if d.size == s {
			return d.od * thou, true
		}
	}
	return 0, false
}

// Material is what a run is made of: what it says, else what the job says for drains above
// or under ground, else pvc (docs/job-format.md).
func Material(j *job.Job, r *network.Run, underGround bool) string {
	switch {
	case r.Def.Mater.Text != "":
		return r.Def.Mater.Text
	case underGround && j.Material.Underground.Text != "":
		return j.Material.Underground.Text
	case j.Material.Drains.Text != "":
		return j.Material.Drains.Text
	}
	return "pvc"
}

// VentMaterial is what a vent is made of.
func VentMaterial(j *job.Job, v *network.Vent) string {
	switch {
	case v.Def.Mater.Text != "":
		return v.Def.Mater.Text
	case j.Material.Vents.Text != "":
		return j.Material.Vents.Text
	case j.Material.Drains.Text != "":
		return j.Material.Drains.Text
	}
	return "pvc"
}

// OutsideOf is the outside diameter of a segment; where none is on record, the nominal
// size, and ok is false.
func OutsideOf(n *network.Net, s network.SegID, size unit.Size) (unit.Length, bool) {
	seg := &n.Segs[s]
	if od, ok := Outside(Material(n.Job, &n.Runs[seg.Run], seg.UnderGround), size); ok {
		return od, true
	}
	return size.Length(), false
}
