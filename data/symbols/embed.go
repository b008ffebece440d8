// Package symbols holds the drawing symbols, one file each. The form of a file is
// described at draw/symbol. Every symbol is built from lines, arcs and circles of our own.
package symbols

import "embed"

// Files are the symbol files, NAME.sym.
//
//go:embed *.sym
var Files embed.FS
