// Package job reads a job file (docs/job-format.md) into plain words with their places,
// and writes edits back into the text without touching anything else.
//
// It checks the writing: keys, words, units, doubled names, limits against hostile input.
// It does not know what joins what (package network does) nor what a code says.
package job

import (
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// Word is a value as written, with its place. An empty Text is "not given".
type Word struct {
	Text string
	At   source.Span
}

// Given reports whether the word was written.
func (w Word) Given() bool { return w.Text != "" || !w.At.IsZero() }

// Len is a length with its place.
type Len struct {
	V   unit.Length
	At  source.Span
	Set bool
}

// Size, Slope, Flow, Volume, Count, Flag: the same for the other quantities.
type (
	Size struct {
		V  unit.Size
		At source.Span
	}
	Slope struct {
		V  unit.Slope
		At source.Span
	}
	// Flow and Volume: Least is what a limit is held against, see unit.ParseFlowLeast.
	Flow struct {
		V     unit.Flow
		Least unit.Flow
		At    source.Span
	}
	Volume struct {
		V     unit.Volume
		Least unit.Volume
		At    source.Span
	}
	Temp struct {
		V   unit.Temperature
		At  source.Span
		Set bool
	}
	Count struct {
		V   int
		At  source.Span
		Set bool
	}
	Units struct {
		V   unit.Load
		At  source.Span
		Set bool
	}
	// Flag is yes, no or not said.
	Flag struct {
		V   bool
		At  source.Span
		Set bool
	}
)

// Job is a whole file.
type Job struct {
	File       string
	Title      Word
	Code       Word
	With       []Word
	Units      unit.System
	Loads      Word // "each fixture" or "groups"
	Occupancy  Word
	Material   Materials
	Stories    Count
	Climate    Climate
	Site       Site
	Sheet      map[string]Word
	Notes      []Word
	Levels     []Level // in file order
	Outlet     Outlet
	Walls      []Wall // in file order
	Runs       []Run  // in file order
	Vents      []Vent // in file order
	Supersedes string // reserved

	text *text // for Echo: the words as written
}

// Materials by system; Underground falls back to Drains.
type Materials struct{ Drains, Vents, Underground Word }

// Climate of the site.
type Climate struct {
	Design Temp // winter design temperature
	Snow   Len
	Frost  Len
}

// Site facts.
type Site struct {
	ManholeRim    Len // rim of the next upstream manhole above the datum
	Septic        Flag
	North         Word
	Address, Area Word // Area: jurisdiction
}

// Level is a named floor.
type Level struct {
	Name      string
	At        source.Span
	Floor     Len
	Joists    Word // "2x10", "i-joist", "truss"
	Spacing   Len
	Across    Word // joist direction "E-W" / "N-S"
	Slab      Len
	Under     Word // "crawl space", "basement", "slab", or a level's name
	Grade     Len
	Ceiling   Len
	Studs     Word
	CrawlHigh Len
	Subfloor  Len // from the top of the joists to the finished floor
}

// Outlet is the point of disposal.
type Outlet struct {
	At     source.Span
	To     Word
	Invert Len
	Size   Size
	Grade  Len
	Sleeve Flag
}

// Place on a receiver.
type PlaceKind uint8

const (
	NotSaid    PlaceKind = iota // upper end, or just below the fixture's arm
	AtLength                    // a distance from the upper end
	UpperEnd                    //
	EndOfArm                    //
	TopOfDrop                   //
	FootOfDrop                  // "foot"
	LowerEnd                    //
	AfterName                   // downstream of where another run joins
)

// Place says where on a run or vent something is.
type Place struct {
	Kind PlaceKind
	Len  unit.Length
	Name string // AfterName
	At   source.Span
}

// Way is the direction of a leg. Azimuth is in 1/10 degree clockwise from north for legs
// with a plan direction. Plumb is degrees/10 from plumb: 0 upright, 900 level, 450 a 45.
type Way struct {
	Down, Up bool
	HasPlan  bool
	Azimuth  int16
	Plumb    int16
}

// Leg is one straight piece.
type Leg struct {
	Way    Way
	Length Len // Set false: not known
	At     source.Span
}

// Run is one drain pipe as written.
type Run struct {
	Name    string
	At      source.Span // of the name
	Joins   Word
	Place   Place
	Arm     []Leg // weir to end of arm; one leg with an unknown way when only a length is given
	Legs    []Leg
	Length  Len
	Lies    Word  // "level", "upright" or degrees from plumb
	Bends   Count // degrees of turns in plan
	Slope   Slope
	Size    Size
	Mater   Word
	State   Word // "existing", "remove", "new", ""
	Role    Word
	Where   Word // key `place`
	Fitting Word
	Turns   []Word
	Bend    Word // closet bend "4x3"
	Vented  Word
	InvUp   Len
	InvLow  Len
	Weir    Len
	Clean   []Cleanout
	Carries Carries
	Basin   Basin
	Devices []Word
	Through Through
	Joint   Word
	Room    Word
	Level   Word
	Note    Word
	Fixture Fixture
}

// Cleanout as written.
type Cleanout struct {
	Place     Place
	Type      Word // "two-way", ""
	Size      Size
	Reach     Word // "accessible", "concealed", ""
	Clearance Len
	At        source.Span
}

// Carries is load from a part that is not drawn.
type Carries struct {
	At       source.Span
	Set      bool
	Units    Units
	More     Units // units that stand in one list with fixtures: they are added to theirs
	Closets  Count
	Fixtures []Word
	Note     Word
	Level    Word
}

// Basin of a pump or ejector at the upper end of a discharge run.
type Basin struct {
	At             source.Span
	Set            bool
	Pump           Flow
	Head           Len
	Diameter       Len
	Depth          Len
	Check, Full    Flag
	Cover          Word
	Solids         Len
	Grinder        Flag
	Macerator      Flag // a unit at one water closet that macerates and lifts
	Pneumatic      Flag // an ejector that air pushes
	InletAboveHigh Len
}

// Through says what the run is bored through, or what is notched for it.
type Through struct {
	What    Word // "joists", "studs", "top plate", "sole plate", "footing", "slab edge"
	Count   Count
	Cut     Word // "hole" (also where it is left out), "notch", "notch at the end", "notch in the middle third"
	Deep    Len  // of a notch; left out, as deep as the pipe is wide
	Bearing Flag // the studs or the plate carry load
	Doubled Flag // the studs are doubled where they are bored
	Strap   Flag // a metal tie over the cut plate
}

// Fixture at the upper end of a run. Kind empty: none.
type Fixture struct {
	Kind       Word
	Flush      Volume
	Flow       Flow
	Heads      Count
	Outlets    Count
	Bowls      Count
	Disposer   Flag
	Dishwasher Flag
	Use        Word
	Units      Units // declared
	Trap       Size
	TrapType   Word
	OutDown    Len // outlet to weir, vertical
	OutAcross  Len // outlet to trap inlet, horizontal
	Standpipe  Len
	TrapHigh   Len // trap above floor
	Rim        Len // flood level rim above its floor
	Serves     []Word
	Apart      Len
	Emergency  Flag
	Primer     Flag
	ClearSide  Len
	ClearFront Len
	AirGap     Flag
	HighLoop   Flag
	Island     Flag
	Future     Flag
	Location   Word
	Drain      Word
}

// Vent is one vent pipe as written.
type Vent struct {
	Name      string
	At        source.Span
	From      []Word
	Place     Place
	Legs      []Leg
	Length    Len
	Lies      Word
	Slope     Slope
	Size      Size
	Mater     Word
	State     Word
	Where     Word
	Level     Word
	Fitting   Word
	Turns     []Word
	Ends      Word
	Into      Place
	Terminal  Terminal
	Valve     Valve
	RisesFrom Word
	AboveRim  Len
	Role      Word
	Joint     Word
	Clean     []Cleanout
	Note      Word
}

// Terminal of a vent outdoors.
type Terminal struct {
	At                                                       source.Span
	Set                                                      bool
	AboveRoof, Roof, FromOpening, AboveOpening, BelowOpening Len
	LotLine, FromWall, AboveGrade                            Len
	Soffit, OccupiedRoof, Covered                            Flag
	Size                                                     Size
	EnlargedInside                                           Len
}

// Valve is an air admittance valve.
type Valve struct {
	At                           source.Span
	Set                          bool
	AboveArm, AboveDrain, AbvRim Len
	AboveInsulation              Len
	Reach                        Word
	Ventilated                   Flag
	Kind                         Word
}
