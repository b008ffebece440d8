// Package data holds the books, the fixture catalog and the other data files of the
// program, embedded. It knows nothing of what is in them.
package data

import (
	"embed"
	"io/fs"
	"sort"
)

//go:embed codes/*.yaml *.yaml
var files embed.FS

// File is one data file.
type File = struct {
	Name string // "codes/irc-2021.yaml", "fixtures.yaml"
	Text []byte
}

// Books are the code books and the layers that come with the program, by name.
func Books() []File { return under("codes") }

// Files are all data files, by name: the books and the catalogs beside them.
func Files() []File { return append(Books(), under(".")...) }

// Get returns one data file, nil when there is none of that name.
func Get(name string) []byte {
	b, err := files.ReadFile(name)
	if err != nil {
		return nil
	}
	return b
}

// under lists the files of one folder. The file system is part of the program, so an
// error here means that the program is built wrongly; the tests would show it as a
// missing file.
func under(dir string) []File {
	entries, _ := fs.ReadDir(files, dir)
	var out []File
	for _, e := range entries {
		name := e.Name()
		if dir != "." {
			name = dir + "/" + name
		}
		if b := Get(name); !e.IsDir() && b != nil {
			out = append(out, File{Name: name, Text: b})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}
