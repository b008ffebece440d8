// Package examples holds the demo jobs: invented houses that show the program at work.
package examples

import "embed"

// Files are the jobs, as *.dwv.yaml in the root.
//
//go:embed *.dwv.yaml
var Files embed.FS

// First is the one to show first, without its suffix.
const First = "heron-lane"
