package main

import (
	"strings"

	"github.com/spf13/cobra"

	"trapweir/draw"
	"trapweir/draw/view"
	"trapweir/report"
)

func fallCmd() *cobra.Command {
	var out, paper string
	var dark bool
	c := codeFlag(jsonFlag(&cobra.Command{
		Use: "fall JOB [FIXTURE]", GroupID: "job", Short: "show heights from the farthest fixture (or the one named) to the outlet, as a table and as a drawing",
		Long: `Fall lists the heights from the farthest fixture (or the one named) to the outlet: inverts,
slopes, ground and floor, cover, how much higher the pipe may lie, what fall is needed and
available, what is short and where there is some to spare. Then the room between joists,
what is cut through wood, and what holds the pipe.

With -o FILE it draws the same line besides, as a long section.`,
		Example: "  trapweir fall house.dwv.yaml\n  trapweir fall house.dwv.yaml -o fall.svg\n  trapweir fall house.dwv.yaml bath 2 wc -o fall.pdf",
		Args:    cobra.MinimumNArgs(1), ValidArgsFunction: nameArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			kind := ""
			if out != "" {
				var err error
				if kind, err = drawingKind(out, paper); err != nil {
					return err
				}
			}
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			name := strings.Join(args[1:], " ")
			if !r.Solved() {
				return unsolved(cmd, r)
			}
			page, ok := report.FallDoc(r, name)
			switch {
			case !ok:
				return noSuch(r, name)
			case out == "-": // the drawing alone
			case asJSON(cmd):
				err = writeJSON(cmd.OutOrStdout(), page)
			default:
				report.Fall(cmd.OutOrStdout(), r, name)
			}
			if err != nil || out == "" {
				return err
			}
			s, _ := view.Section(r, view.Options{Paper: paper, Of: name, Stamp: true})
			return writeSheets(cmd, out, kind, []*draw.Sheet{s}, r.Job.Title.Text, dark)
		},
	}))
	c.Flags().StringVarP(&out, "output", "o", "", "draw it into this file as well: .svg, .pdf, .dxf or .txt; -, the drawing alone to standard output")
	paperFlag(c, &paper)
	c.Flags().BoolVar(&dark, "dark", false, "let an SVG follow a reader who has asked for dark pages")
	return c
}
