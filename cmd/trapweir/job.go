package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/report"
	"trapweir/shelf"
)

// maxJob bounds what is read from a job file; the reader says so for larger ones.
const maxJob = 8 << 20

// openJob reads a job file and solves it. Layers that the job names by a path are read
// from beside it. A job that cannot be read is an error with status 2, said on stderr.
func openJob(cmd *cobra.Command, path, code string) (*engine.Result, []byte, error) {
	text, err := readFile(cmd, path)
	if err != nil {
		return nil, nil, err
	}
	r, err := solve(cmd, path, text, code)
	return r, text, err
}

func readFile(cmd *cobra.Command, path string) ([]byte, error) {
	var in io.Reader
	if path == "-" {
		in = cmd.InOrStdin()
	} else {
		f, err := os.Open(path)
		if err != nil {
			if os.IsNotExist(err) {
				return nil, fmt.Errorf("no job file %s: write the path of a .dwv.yaml file, or make one with `trapweir new`", path)
			}
			return nil, err
		}
		defer f.Close()
		if isFolder(path) {
			return nil, sayFolder(path)
		}
		in = f
	}
	return io.ReadAll(io.LimitReader(in, maxJob))
}

func solve(cmd *cobra.Command, path string, text []byte, code string) (*engine.Result, error) {
	d, err := loadData(cmd, path, text, code)
	if err != nil {
		return nil, err
	}
	r := engine.Run(d, engine.Input{Name: path, Text: text, Code: code})
	if asJSON(cmd) {
		return r, nil
	}
	if diag.Count(r.Faults, diag.Error) > 0 || !r.Solved() {
		faultsIn(cmd.ErrOrStderr(), written(path, text), r.Faults)
		if len(r.Faults) == 0 {
			fmt.Fprintf(cmd.ErrOrStderr(), "%s: the job has no runs yet\n", path)
		}
		return r, errStatus(exitNoLook)
	}
	return r, nil
}

// loadData reads the embedded books and the layer files that lie beside the job.
func loadData(cmd *cobra.Command, path string, text []byte, code string) (engine.Data, error) {
	extra := layerFiles(filepath.Dir(path), text)
	d, ds := shelf.For(text, code, extra...)
	if diag.Count(ds, diag.Error) > 0 {
		faultsIn(cmd.ErrOrStderr(), extra, ds)
		return engine.Data{}, errStatus(exitNoLook)
	}
	return d, nil
}

// written are the files of the user that a job is made of: itself and the layers beside it.
func written(path string, text []byte) []codebook.File {
	return append(layerFiles(filepath.Dir(path), text), codebook.File{Name: path, Text: text})
}

// faultsIn prints what is wrong with files, each with its line where the file is the user's.
func faultsIn(w io.Writer, own []codebook.File, ds []diag.Diagnostic) {
	for len(ds) > 0 {
		name, n := ds[0].At.File, 1
		for n < len(ds) && ds[n].At.File == name {
			n++
		}
		var text []byte
		if k := slices.IndexFunc(own, func(f codebook.File) bool { return f.Name == name }); k >= 0 {
			text = own[k].Text
		}
		report.Faults(w, text, ds[:n])
		ds = ds[n:]
	}
}

// layersBeside reads the layers named that lie in the working folder.
func layersBeside(with []string) []codebook.File {
	return layerFiles(".", []byte("with: ["+strings.Join(with, ", ")+"]\n"))
}

// layerFiles finds files of layers beside the job: NAME.yaml for a `with` entry that is a
// path or that no embedded book has. Files that are not there are reported by the engine
// as unknown layers.
func layerFiles(dir string, text []byte) []codebook.File {
	var out []codebook.File
	for _, w := range shelf.With(text) {
		name := w
		if !strings.HasSuffix(name, ".yaml") {
			name += ".yaml"
		}
		if filepath.IsAbs(name) || strings.Contains(name, "..") || slices.ContainsFunc(out, func(f codebook.File) bool { return f.Name == name }) {
			continue
		}
		if b, err := os.ReadFile(filepath.Join(dir, name)); err == nil && len(b) < maxJob {
			out = append(out, codebook.File{Name: name, Text: b})
		}
	}
	return out
}

func asJSON(cmd *cobra.Command) bool {
	v, err := cmd.Flags().GetBool("json")
	return err == nil && v
}

// jsonFlag adds --json.
func jsonFlag(c *cobra.Command) *cobra.Command {
	c.Flags().Bool("json", false, "print the result as JSON (docs/result.md)")
	return c
}

func codeFlag(c *cobra.Command) *cobra.Command {
	c.Flags().String("code", "", "use this book instead of the job's")
	_ = c.RegisterFlagCompletionFunc("code", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return shelf.IDs(), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

func codeOf(cmd *cobra.Command) string {
	v, _ := cmd.Flags().GetString("code")
	return v
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// status turns a result into the exit status of a reading command: 2 could not look.
func status(r *engine.Result) error {
	if !r.Solved() {
		return errStatus(exitNoLook)
	}
	return nil
}

// jobArg completes job files.
func jobArg(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"yaml"}, cobra.ShellCompDirectiveFilterFileExt
}
