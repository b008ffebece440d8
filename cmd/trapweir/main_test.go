package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"trapweir": func() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// Scripts run the command as a shell would, each in an empty folder of its own. $ROOT is
// the repository, so that a script can try the commands of the documents on the examples.
// UPDATE=1 rewrites what `cmp` compares with.
func TestScripts(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		UpdateScripts:       os.Getenv("UPDATE") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("ROOT", root)
			return nil
		},
	})
}
