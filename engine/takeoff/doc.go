// Package takeoff turns a solved job into what to buy and what to cut: pieces of pipe, how
// they come out of the lengths that pipe is sold in, and the measures of offsets.
//
// It buys nothing and knows no prices. Lengths are exact integers; only what is irrational
// by nature (the slanted side of an offset) passes through floating point, and is then
// rounded to whole nanometres.
package takeoff
