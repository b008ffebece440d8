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

// hubs are how far the widest part of a fitting or coupling reaches across, least and most,
// in thousandths of an inch.
type hubWidth struct {
	size        unit.Size
	least, most int64
}

// Widths over the hub.
//
// Plastic: the socket's entrance and two walls of the fitting; makers' ribs and lugs add up
// to 0.35 in, as a page that asks 2-9/16 in for a 1-1/2 in hub shows. Estimate by geometry.
//
// Cast iron: hubless pipe in its coupling, the spigot bead with a sleeve and shield of 0.2
// to 0.35 in around it (a 3 in coupling is about 3.9 in): estimate. With a hub: over the
// bead, ASTM A74, service weight.
//
// Copper: a fitting of 3 in is 3.25 to 3.4 in wide, as much over the tube in other sizes:
// from memory.
var (
	plasticHubs = []hubWidth{{in(5), 1980, 2330}, {in(6), 2230, 2580}, {in(8), 2700, 3050}, {in(12), 3950, 4300}, {in(16), 5020, 5370}, {in(24), 7210, 7560}}
	hublessHubs = []hubWidth{{in(6), 2360, 2660}, {in(8), 2810, 3110}, {in(12), 3810, 4110}, {in(16), 4840, 5140}, {in(20), 5760, 6060}, {in(24), 6760, 7060}}
	serviceHubs = []hubWidth{{in(8), 3620, 3620}, {in(12), 4680, 4680}, {in(16), 5680, 5680}, {in(20), 6680, 6680}, {in(24), 7680, 7680}}
	copperHubs  = []hubWidth{{in(5), 1500, 1650}, {in(6), 1750, 1900}, {in(8), 2250, 2400}, {in(12), 3250, 3400}, {in(16), 4250, 4400}, {in(24), 6250, 6400}}
)

// Hub is how wide a fitting of a material and size is at its widest, at least and at most;
// ok is false where nothing is on record. "cast iron, hubbed" is pipe with hubs, "cast
// iron" is hubless.
func Hub(material string, s unit.Size) (least, most unit.Length, ok bool) {
	var list []hubWidth
	switch material {
	case "pvc", "abs":
		list = plasticHubs
	case "cast iron":
		list = hublessHubs
	case "cast iron, hubbed":
		list = serviceHubs
	case "copper":
		list = copperHubs
	}
	for _, d := range list {
		if d.size == s {
			return unit.Length(d.least) * thou, unit.Length(d.most) * thou, true
		}
	}
	return 0, 0, false
}
