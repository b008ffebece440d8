package main

import (
	"fmt"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/report"
	"trapweir/shelf"
)

func compareCmd() *cobra.Command {
	return jsonFlag(&cobra.Command{
		Use: "compare JOB [BOOK...]", GroupID: "job", Short: "run a job under several books and show where sizes and findings differ",
		Long: `Run a job under several books and show where sizes, venting and findings differ. Without a
BOOK it takes the usual ones; with one, the job's own beside it. A layer of the job that does
not lie over one of the books is left out for that book, and the comparison says so.`,
		Args: cobra.MinimumNArgs(1),
		ValidArgsFunction: func(cmd *cobra.Command, args []string, s string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 0 {
				return jobArg(cmd, args, s)
			}
			return shelf.IDs(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			text, err := readFile(cmd, args[0])
			if err != nil {
				return err
			}
			own := layerFiles(filepath.Dir(args[0]), text)
			d, ds := shelf.All(own...)
			if diag.Count(ds, diag.Error) > 0 {
				faultsIn(cmd.ErrOrStderr(), own, ds)
				return errStatus(exitNoLook)
			}
			books := shelf.Compared()
			switch code := shelf.Code(text); {
			case len(args) == 2 && args[1] == code:
				return fmt.Errorf("the job is by %s already: name another book to compare it with", code)
			case len(args) == 2:
				books = []string{code, args[1]}
			case len(args) > 2:
				books = nil
				for _, b := range args[1:] {
					if !slices.Contains(books, b) {
						books = append(books, b)
					}
				}
			}
			var rs []*engine.Result
			for _, b := range books {
				r := engine.Run(d, engine.Input{Name: args[0], Text: text, Code: b, Part: true})
				if !r.Solved() {
					faultsIn(cmd.ErrOrStderr(), written(args[0], text), r.Faults)
					if diag.Count(r.Faults, diag.Error) == 0 {
						fmt.Fprintf(cmd.ErrOrStderr(), "%s: the job has no runs yet\n", args[0])
					}
					return errStatus(exitNoLook)
				}
				rs = append(rs, r)
			}
			if asJSON(cmd) {
				return writeJSON(cmd.OutOrStdout(), report.CompareDoc(rs))
			}
			report.Compare(cmd.OutOrStdout(), rs)
			return nil
		},
	})
}
