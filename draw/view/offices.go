package view

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/data"
)

// Office is what one permit office asks to see.
type Office struct {
	ID       string   `yaml:"-"`
	Title    string   `yaml:"title"`
	Invented bool     `yaml:"invented"`
	Also     []string `yaml:"also"`
	Note     string   `yaml:"note"`
	Asks     []Ask    `yaml:"asks"`
}

// Ask is one line of an office's list; Sheet is the kind of sheet that carries it.
type Ask struct {
	What  string `yaml:"what"`
	Sheet string `yaml:"sheet"`
}

// Offices reads the lists that come with the program.
func Offices() (map[string]Office, error) {
	var out map[string]Office
	d := yaml.NewDecoder(strings.NewReader(string(data.Get("offices.yaml"))))
	d.KnownFields(true)
	if err := d.Decode(&out); err != nil {
		return nil, fmt.Errorf("offices.yaml: %w", err)
	}
	for id, o := range out {
		o.ID = id
		out[id] = o
	}
	return out, nil
}

// officeOf finds the list of a jurisdiction, else the neutral one.
func officeOf(name string) Office {
	all, err := Offices()
	if err != nil {
		return Office{Title: "Usual list"} // a test reads the file
	}
	name = strings.ToLower(strings.TrimSpace(name))
	for id, o := range all {
		if name == id && name != "" {
			return o
		}
		for _, a := range o.Also {
			if name == a {
				return o
			}
		}
	}
	return all["neutral"]
}
