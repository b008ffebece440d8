package draw

// Grips are what can be taken hold of on a sheet that is worked on: stretches that stand
// for a length, and the ways in which a new one can be drawn. Writers leave them alone.
type Grips struct {
	List []Grip
	Ways []Way
}

// Grip is a straight stretch of the sheet that stands for a length of the thing ID.
type Grip struct {
	ID   string
	Part int // which straight part of the thing, from 0
	A, B Point
	// From and To are how far along the thing A and B lie, in nanometres; where Known is
	// false they are what the drawing took in place of a length that is not given.
	From, To int64
	Known    bool
}

// Way is a direction as it is written, and the step on the sheet that stands for a metre of
// it.
type Way struct {
	Word string
	Step Point
}
