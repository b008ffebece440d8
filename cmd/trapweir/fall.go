package main

import (
	"github.com/spf13/cobra"

	"trapweir/report"
)

func fallCmd() *cobra.Command {
	return codeFlag(jsonFlag(&cobra.Command{
		Use: "fall JOB", GroupID: "job", Short: "show heights from the farthest fixture to the outlet: inverts, slopes, cover, what is short and where the slack is",
		Args: cobra.ExactArgs(1), ValidArgsFunction: jobArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			if !r.Solved() {
				return unsolved(cmd, r)
			}
			if asJSON(cmd) {
				return writeJSON(cmd.OutOrStdout(), report.FallDoc(r))
			}
			report.Fall(cmd.OutOrStdout(), r)
			return nil
		},
	}))
}
