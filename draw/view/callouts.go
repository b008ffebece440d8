package view

import (
	"sort"
	"strings"

	"trapweir/draw/layout"
	"trapweir/engine/fitting"
	"trapweir/engine/network"
)

// callOuts are the patterns as a riser has them. What is not here is written out.
var callOuts = map[string]string{
	"quarter bend": "1/4 BEND", "short sweep": "1/4 SS", "long sweep": "1/4 LS", "vent elbow": "1/4 VENT",
	"eighth bend": "1/8 BEND", "sixth bend": "1/6 BEND", "sixteenth bend": "1/16 BEND", "fifth bend": "1/5 BEND",
	"closet bend": "CB", "closet flange and bend": "CB",
	"sanitary tee": "ST", "sanitary tee on its back": "ST ON BACK", "sanitary tee flat": "ST FLAT",
	"double sanitary tee": "DBL ST", "double fixture fitting": "DFF", "double wye": "DBL WYE", "double combo": "DBL COMBO",
	"wye rolled 45": "WYE ROLLED", "combo rolled 45": "COMBO ROLLED", "upright wye": "UPR WYE", "upright combo": "UPR COMBO",
	"increaser": "INCR",
}

// callOutWords explains the call-outs that do not explain themselves.
var callOutWords = map[string]string{
	"1/4 BEND": "quarter bend", "1/4 SS": "short sweep quarter bend", "1/4 LS": "long sweep quarter bend", "1/4 VENT": "vent elbow",
	"1/8 BEND": "eighth bend, 45 degrees", "1/6 BEND": "sixth bend, 60 degrees", "1/16 BEND": "sixteenth bend, 22-1/2 degrees", "1/5 BEND": "fifth bend, 72 degrees",
	"CB": "closet bend",
	"ST": "sanitary tee", "ST ON BACK": "sanitary tee on its back", "ST FLAT": "sanitary tee that lies flat",
	"DBL ST": "double sanitary tee", "DFF": "double fixture fitting", "DBL WYE": "double wye", "DBL COMBO": "double combination wye and eighth bend",
	"WYE ROLLED": "wye with its branch rolled up 45 degrees", "COMBO ROLLED": "combo with its branch rolled up 45 degrees",
	"UPR WYE": "upright wye", "UPR COMBO": "upright combo", "COMBO": "combination wye and eighth bend",
	"INCR": "increaser",
}

// fewCallOuts is the number up to which fittings are called out unasked, and roomyScale the
// scale from which the riser has room for them.
const (
	fewCallOuts = 24
	roomyScale  = 1.1
)

// callOut asks for room for the fittings, in the order of the net: on request for all,
// with a question mark where a direction is not known; else for those that are known, on a riser of one stack or one floor that has room for them, and on small paper
// only where no findings need the room of their legend.
func (p *picture) callOut(which string) {
	if which == "none" || which != "all" && (p.x.k < roomyScale || !p.simple() || p.s.W < roomy && len(p.list) > 0) {
		return
	}
	type spot struct {
		at    int32
		lines []string
		brief []string
	}
	var list []spot
	index := map[int32]int{}
	turns := map[network.VentID]int{}
	for i := range p.r.Fittings {
		f := &p.r.Fittings[i]
		at, ok := p.fittingAt(f, turns)
		if !ok || f.Kind == "" || f.Kind == "closet flange" || f.Open && which != "all" { // a flange has a symbol
			continue
		}
		name, ok := callOuts[f.Kind]
		if !ok {
			name = upper(f.Kind)
		}
		if f.Count > 1 {
			name = numberWords(f.Count-1) + " " + name
		}
		if f.Open {
			name += " ?"
		}
		k, seen := index[at]
		if !seen {
			k = len(list)
			index[at] = k
			list = append(list, spot{at: at})
		}
		list[k].lines = again(list[k].lines, p.fittingSize(f)+" "+name)
		list[k].brief = again(list[k].brief, name)
	}
	if which != "all" && len(list) > fewCallOuts {
		return
	}
	for _, s := range list {
		l := layout.Label{ID: p.ids.id("fitting"), Lines: s.lines, Short: [][]string{s.brief}, At: p.at[s.at], Half: 1.3, Soft: true, Reach: 20}
		if which != "all" {
			l.Spare = true
		} else {
			l.Reach = 60
		}
		p.fits = append(p.fits, len(p.req))
		p.req = append(p.req, l)
	}
}

// again adds a line; one that is there already is counted.
func again(lines []string, line string) []string {
	for i, l := range lines {
		switch rest, twice := strings.CutPrefix(l, "2 x "); {
		case l == line:
			lines[i] = "2 x " + line
			return lines
		case twice && rest == line:
			return append(lines, line)
		}
	}
	return append(lines, line)
}

// fittingSize writes the sizes of a fitting: out, in, branch; one where all are the same.
func (p *picture) fittingSize(f *fitting.Fitting) string {
	same := true
	for _, b := range f.Branch {
		same = same && b == f.Out
	}
	if same && (f.In == f.Out || f.In == 0) {
		return sizeWords(f.Out)
	}
	return strings.ReplaceAll(f.Size(), " x ", "×")
}

// fittingAt finds the node where a fitting is drawn; ok is false for what has its own
// symbol or label, and for what is not shown. turns counts the turns of vents.
func (p *picture) fittingAt(f *fitting.Fitting, turns map[network.VentID]int) (int32, bool) {
	g, n := p.g, p.r.Net
	at := int32(-1)
	switch f.Does {
	case fitting.Trap, fitting.Cleanout, fitting.VentEnd:
		return 0, false
	case fitting.VentTurn:
		k := turns[f.At.Vent]
		turns[f.At.Vent]++
		at = p.ventTurn(f.At.Vent, k)
	case fitting.VentJoin:
		if path := g.ventPath[f.At.Vent]; len(path) > 1 {
			at = path[len(path)-1]
			if e := g.ventEdges[f.At.Vent]; len(e) > 0 && n.Vents[f.At.Vent].End != network.ThroughRoof {
				at = g.edges[e[len(e)-1]].b
			}
		}
	case fitting.Takeoff:
		at = g.takeoff(network.Takeoff{Run: f.At.Run, Seg: f.At.Seg, Lower: f.At.Lower})
	default:
		switch {
		case len(f.From) > 0:
			at = g.lower[f.From[0]]
		case f.At.Seg == network.None:
		case f.At.Lower:
			at = g.lower[f.At.Seg]
		default:
			at = g.upper[f.At.Seg]
		}
		if f.At.Seg != network.None && !p.kept(f.At.Seg) {
			return 0, false
		}
	}
	return at, at >= 0 && p.deg[at] > 0
}

// ventTurn is the node of the k-th turn of a vent; -1 where it is not drawn.
func (p *picture) ventTurn(v network.VentID, k int) int32 {
	g := p.g
	legs := p.r.Net.Vents[v].Def.Legs
	for i := 1; i < len(legs); i++ {
		if angle, ok := fitting.Angle(legs[i-1].Way, legs[i].Way); ok && angle == 0 {
			continue
		}
		if k == 0 {
			for _, e := range g.ventEdges[v] {
				if int(g.edges[e].leg) == i+1 {
					return g.edges[e].a
				}
			}
			return -1
		}
		k--
	}
	return -1
}

// simple tells whether no more than one stack, or one floor, is drawn.
func (p *picture) simple() bool {
	n := p.r.Net
	stacks := map[network.RunID]bool{}
	floors := map[int16]bool{}
	for i := range n.Segs {
		if s := &n.Segs[i]; p.kept(network.SegID(i)) && s.Role == network.Stack {
			stacks[s.Run] = true
		}
	}
	for i := range n.Fixtures {
		if f := &n.Fixtures[i]; p.kept(f.Seg) {
			floors[int16(f.Level)] = true
		}
	}
	return len(stacks) <= 1 || len(floors) <= 1
}

// calledRows explain the call-outs that are on the sheet.
func (p *picture) calledRows() [][2]string {
	used := map[string]bool{}
	sizes, open := false, false
	for _, i := range p.fits {
		if i >= len(p.placed) || !p.placed[i].OK {
			continue
		}
		for _, l := range p.placed[i].Lines {
			sizes = sizes || strings.Contains(l, "×")
			open = open || strings.HasSuffix(l, "?")
			l = strings.TrimSuffix(l, " ?")
			for name := range callOutWords {
				if l == name || strings.HasSuffix(l, " "+name) {
					used[name] = true
				}
			}
		}
	}
	var out [][2]string
	for name := range used {
		out = append(out, [2]string{name, callOutWords[name]})
	}
	sort.Slice(out, func(i, j int) bool { return out[i][0] < out[j][0] })
	if open {
		out = append(out, [2]string{"?", "a direction is not known; the usual pattern"})
	}
	if sizes {
		out = append(out, [2]string{"3×3×2", "sizes of a fitting: out, in, branch"})
	}
	return out
}

// uncalled tells whether some fittings are called out and others found no room.
func (p *picture) uncalled() bool {
	found := 0
	for _, i := range p.fits {
		if i < len(p.placed) && p.placed[i].OK {
			found++
		}
	}
	return found > 0 && found < len(p.fits)
}
