package main

import (
	"fmt"

	"trapweir/draw"
	"trapweir/draw/svg"
	"trapweir/draw/view"
	"trapweir/engine"
	"trapweir/web"
)

// workbench hands the server what it does not know itself: views, files, proposals.
func workbench(folder, first string) web.Options {
	return web.Options{Folder: folder, First: first, Drawing: drawing, Start: startJob}
}

func drawing(r *engine.Result, name, of, level string) ([]byte, error) {
	s, err := sheetOf(r, name, of, level)
	if err != nil {
		return nil, err
	}
	return svg.Render(s, svg.Options{Dark: true, Fluid: true}), nil
}

func sheetOf(r *engine.Result, name, of, level string) (*draw.Sheet, error) {
	opt := view.Options{Of: of, Level: level}
	switch name {
	case "riser", "":
		return view.Isometric(r, opt), nil
	}
	return nil, fmt.Errorf("there is no view %q", name)
}
