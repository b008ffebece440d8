package main

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"

	"trapweir/draw"
	"trapweir/draw/dxf"
	"trapweir/draw/pdf"
	"trapweir/draw/svg"
	"trapweir/draw/view"
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/price"
	"trapweir/engine/takeoff"
	"trapweir/report"
	"trapweir/report/order"
	"trapweir/report/xlsx"
	"trapweir/shelf"
	"trapweir/web"
)

// workbench hands the server what it does not know itself: views, files, proposals.
func workbench(folder, first string) web.Options {
	return web.Options{Folder: folder, First: first, Drawing: drawing, Plans: view.Plans, Pages: pages, File: file, Start: startJob, Fix: proposals, Views: views}
}

// views are what the page offers to look at.
var views = []web.View{
	{Name: "riser", Title: "Riser"},
	{Name: "plan", Title: "Plan"},
	{Name: "section", Title: "Long section"},
	{Name: "details", Title: "Details"},
	{Name: "schedule", Title: "Schedules"},
	{Name: "strip", Title: "Way of the water"},
}

// drawing is the riser, or the plan of a level, as the page works on it.
func drawing(r *engine.Result, see web.Look) web.Sheet {
	var s *draw.Sheet
	if see.View == "plan" {
		s = view.Plan(r, see.Level, view.Options{})
	} else {
		s = view.Isometric(r, view.Options{Last: see.Last, Wordless: see.Wordless})
	}
	return web.Sheet{SVG: svg.Render(s, svg.Options{Dark: true, Fluid: true}), Grips: s.Grips, Pipes: pipesOn(s, r), Seen: s.Seen}
}

// pipesOn is the part of a sheet that holds what stands for things of the job, their labels
// and the numbers of the findings; the whole sheet when there is none.
func pipesOn(s *draw.Sheet, r *engine.Result) draw.Rect {
	named := map[string]bool{"outlet": true}
	for i := range r.Job.Runs {
		named[r.Job.Runs[i].Name] = true
	}
	for i := range r.Job.Vents {
		named[r.Job.Vents[i].Name] = true
	}
	ofJob := func(id string) bool {
		for end := len(id); end > 0; end-- {
			if (end == len(id) || strings.IndexByte(".:#/", id[end]) >= 0) && named[id[:end]] {
				return true
			}
		}
		return strings.HasPrefix(id, "finding") || strings.HasPrefix(id, "balloon")
	}
	var box draw.Rect
	found := false
	for _, x := range s.Shapes {
		if !ofJob(x.Base().ID) {
			continue
		}
		b, ok := draw.Bounds(x)
		switch {
		case !ok:
		case found:
			box = box.Union(b)
		default:
			box, found = b, true
		}
	}
	if !found {
		return draw.Rect{X1: s.W, Y1: s.H}
	}
	return box
}

// pages are the sheets of a view, of the permit set or of the order, as they would be
// printed.
func pages(r *engine.Result, what, of, level string) ([]string, error) {
	sheets, err := sheetsOf(r, what, view.Options{Of: of, Level: level})
	if err != nil {
		return nil, err
	}
	out := []string{}
	for _, s := range sheets {
		out = append(out, string(svg.Render(s, svg.Options{Fluid: true})))
	}
	return out, nil
}

var errNotOffered = errors.New("this is not offered")

func sheetsOf(r *engine.Result, what string, opt view.Options) ([]*draw.Sheet, error) {
	switch what {
	case "riser":
		return []*draw.Sheet{view.Isometric(r, opt)}, nil
	case "schedule":
		return view.Schedule(r, opt), nil
	case "details":
		return view.Details(r, opt), nil
	case "strip":
		return view.Strip(r, opt), nil
	case "plan":
		levels := view.Plans(r)
		if opt.Level != "" {
			levels = []string{opt.Level}
		}
		var out []*draw.Sheet
		for _, l := range levels {
			if s := view.Plan(r, l, opt); s != nil {
				out = append(out, s)
			}
		}
		if len(out) == 0 {
			return nil, errors.New("there is no plan yet: no pipe has directions and lengths")
		}
		return out, nil
	case "section":
		s, _ := view.Section(r, opt) // says on its sheet what is wanted when it cannot be drawn
		return []*draw.Sheet{s}, nil
	case "set":
		return view.Sheets(r, opt), nil
	case "order":
		p, err := plainOrder(r)
		if err != nil {
			return nil, err
		}
		return order.Sheets(p, order.Sheet{Title: r.Job.Title.Text, Units: r.Job.Units, Fields: fields(r)})
	}
	return nil, fmt.Errorf("%w: %q", errNotOffered, what)
}

// plainOrder is the order as the command gives it without flags: no prices, nothing on top.
func plainOrder(r *engine.Result) (*price.Priced, error) {
	st, ds := shelf.Stock()
	if diag.Count(ds, diag.Error) > 0 {
		return nil, errors.New(ds[0].Message)
	}
	return price.Apply(r.Order(st, takeoff.Settings{}), nil, price.Settings{}), nil
}

// file makes what can be taken away.
func file(r *engine.Result, out, of, level string) (data []byte, mime string, err error) {
	what, ending, _ := strings.Cut(out, ".")
	title := r.Job.Title.Text
	opt := view.Options{Of: of, Level: level}
	var b bytes.Buffer
	switch {
	case what == "order" && ending == "xlsx":
		p, err := plainOrder(r)
		if err != nil {
			return nil, "", err
		}
		err = xlsx.Write(&b, p, xlsx.Options{Title: title, Units: r.Job.Units, Beside: []price.Column{{Name: "as the job says", Priced: p}}})
		return b.Bytes(), "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", err
	case what == "order" && ending == "csv":
		p, err := plainOrder(r)
		if err != nil {
			return nil, "", err
		}
		err = order.CSV(&b, p)
		return b.Bytes(), "text/csv; charset=utf-8", err
	case what == "fall" && ending == "txt":
		if !report.Fall(&b, r, of) {
			return nil, "", noSuch(r, of)
		}
		return commandLines.ReplaceAll(b.Bytes(), nil), "text/plain; charset=utf-8", nil
	case ending == "pdf":
		sheets, err := sheetsOf(r, what, opt)
		if err != nil {
			return nil, "", err
		}
		data, err = pdf.Render(sheets, pdf.Options{Title: title})
		return data, "application/pdf", err
	case what != "order" && what != "set" && (ending == "svg" || ending == "dxf"):
		sheets, err := sheetsOf(r, what, opt)
		if err != nil {
			return nil, "", err
		}
		if len(sheets) != 1 {
			return nil, "", fmt.Errorf("there are %d sheets, and a %s holds one: take the PDF, or one level", len(sheets), strings.ToUpper(ending))
		}
		if ending == "svg" {
			return svg.Render(sheets[0], svg.Options{}), "image/svg+xml", nil
		}
		return dxf.Render(sheets[0]), "image/vnd.dxf", nil
	}
	return nil, "", fmt.Errorf("%w: %q", errNotOffered, out)
}

// commandLines are lines that tell of other commands, which the page does not have.
var commandLines = regexp.MustCompile("(?m)^`trapweir .*\n")
