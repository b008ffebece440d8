package report

import (
	"trapweir/engine"
	"trapweir/engine/elevation"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// FallPage is the profile from the farthest fixture to the outlet.
type FallPage struct {
	Format  string    `json:"format"`
	Stakes  []FallRow `json:"profile"`
	Caution string    `json:"caution"`
}

// FallRow is one piece of pipe of the profile at its upper end. Heights are above the
// job's datum; null where they cannot be worked out.
type FallRow struct {
	Run     string       `json:"run"` // "" at the outlet
	Station *unit.Length `json:"station"`
	Invert  *unit.Length `json:"invert"`
	Ground  *unit.Length `json:"ground"`
	Floor   *unit.Length `json:"floor"`
	Cover   *unit.Length `json:"cover"`
	Room    *unit.Length `json:"room"`
	Size    unit.Size    `json:"size,omitempty"`
	Slope   string       `json:"slope,omitempty"`
	Length  *unit.Length `json:"length"`
	Upright bool         `json:"upright,omitempty"`
}

// FallDoc collects what Fall prints of the profile; ok is false where the job has no run of
// that name.
func FallDoc(r *engine.Result, name string) (page FallPage, ok bool) {
	from, ok := start(r, name)
	if !ok {
		return FallPage{}, false
	}
	p := FallPage{Format: Format, Stakes: []FallRow{}, Caution: Caution}
	at := func(h elevation.Height) *unit.Length {
		if !h.Known {
			return nil
		}
		return &h.V
	}
	for _, x := range r.Levels.Profile(r.Net, r.Sizes, from) {
		row := FallRow{
			Station: at(elevation.Height{V: x.Station, Known: x.StationKnown}),
			Invert:  at(x.Invert), Ground: at(x.Ground), Floor: at(x.Floor), Cover: at(x.Cover), Room: at(x.Room),
		}
		if x.Seg != network.None {
			row.Run, row.Size, row.Upright = r.Net.Runs[x.Run].Name, x.Size, x.Upright
			row.Length = at(elevation.Height{V: x.Length, Known: x.LengthKnown})
			if x.Slope.Run != 0 {
				row.Slope = x.Slope.String()
			}
		}
		p.Stakes = append(p.Stakes, row)
	}
	return p, true
}
