package report

import (
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/vent"
)

// WhyPage is everything that was weighed for one run.
type WhyPage struct {
	Format   string            `json:"format"`
	Run      string            `json:"run"`
	Pieces   []size.Why        `json:"pieces,omitempty"`
	Trap     string            `json:"trap,omitempty"`
	Readings []WhyReading      `json:"readings,omitempty"`
	Vent     *Vent             `json:"vent,omitempty"`
	Findings []diag.Diagnostic `json:"findings"`
}

// WhyReading is one way in which a trap's venting was read.
type WhyReading struct {
	Method vent.Method       `json:"method"`
	Vent   string            `json:"vent,omitempty"`
	Holds  bool              `json:"holds"`
	Fails  []diag.Diagnostic `json:"fails,omitempty"`
	Asks   []diag.Diagnostic `json:"asks,omitempty"`
	Cite   diag.Cite         `json:"cite"`
}

// WhyDoc collects what Why prints.
func WhyDoc(r *engine.Result, name string) (WhyPage, bool) {
	x, ok := r.Net.Find(name)
	if !ok {
		return WhyPage{}, false
	}
	p := WhyPage{Format: Format, Run: name, Findings: []diag.Diagnostic{}}
	for _, d := range r.Findings {
		if d.On.Name == name {
			p.Findings = append(p.Findings, d)
		}
	}
	if x.Run == network.None {
		fr := frameOf(r)
		v := ventDoc(r, &fr, x.Vent)
		p.Vent = &v
		return p, true
	}
	run := &r.Net.Runs[x.Run]
	for _, s := range run.Segs {
		p.Pieces = append(p.Pieces, r.Sizes.Explain(s))
	}
	if f := run.Fixture; f != network.None {
		p.Trap = r.Vents.Words(r.Net, f)
		for i := range r.Vents.Trap[f].Readings {
			rd := &r.Vents.Trap[f].Readings[i]
			w := WhyReading{Method: rd.Method, Holds: rd.Holds(), Fails: rd.Fails, Asks: rd.Asks, Cite: rd.Cite}
			if rd.Vent != network.None {
				w.Vent = r.Net.Vents[rd.Vent].Name
			}
			p.Readings = append(p.Readings, w)
		}
	}
	return p, true
}
