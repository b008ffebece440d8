package rules

import "trapweir/engine/check"

// Stages that decide rules while they work.
const (
	inLoads = "loads"
	inSizes = "sizes"
	inVents = "vents"
	inBasis = "the code basis"
)

// sized are the rules that sizing decides: it weighs them for every pipe, and reports them
// where a given size breaks one.
var sized = []*check.Rule{
	{ID: "code-basis", Family: "questions", Stage: inBasis, Doc: "the job names the book that its authority enforces", Why: "sizes and venting differ from book to book"},
	{ID: "fixture-load", Family: "sizes", Stage: inLoads, Clause: "units", Doc: "every fixture counts what the book lists for it", Why: "a fixture that counts nothing makes every pipe below it too small"},
	{ID: "branch-overloaded", Family: "sizes", Stage: inSizes, Clause: "branch-size", Doc: "a branch carries no more than its table allows", Why: "an overloaded drain fills, pulls traps dry and backs up", Try: "make it the next size, from there to the outlet"},
	{ID: "stack-tapers-too-far", Family: "sizes", Stage: inSizes, Clause: "stack-taper", Doc: "going up, a stack is never smaller than the book's share of the largest size that it needs", Why: "the top of a stack must pass the air that the water below pulls after it", Try: "make the upper part of the stack as large as that share asks"},
	{ID: "stack-overloaded", Family: "sizes", Stage: inSizes, Clause: "stack-size", Doc: "a stack carries no more than its table allows, in all and in one branch interval", Why: "an overloaded stack blows and pulls traps on every floor"},
	{ID: "building-drain-overloaded", Family: "sizes", Stage: inSizes, Clause: "building-drain-size", Doc: "building drain, sewer and their branches carry no more than the table allows at their slope", Why: "an overloaded drain backs up into the lowest fixture"},
	{ID: "upright-too-long", Family: "sizes", Stage: inSizes, Clause: "vertical-length", Doc: "upright drain is no taller than the book allows for its size", Why: "what falls far pushes the more air ahead of it, and a small pipe has no room for that beside the water", Try: "make it the next size"},
	{ID: "capacity-near-limit", Family: "sizes", Stage: inSizes, Doc: "says where a pipe with several fixtures is within a tenth of what it may carry", Why: "the next fixture will not fit"},
	{ID: "pipe-reduced-downstream", Family: "sizes", Stage: inSizes, Clause: "no-reduction", Doc: "a drain never gets smaller with the flow; a 4x3 closet bend or flange does not count", Why: "what passes the larger pipe lodges at the edge of the smaller one"},
	{ID: "wc-branch-under-3in", Family: "sizes", Stage: inSizes, Clause: "closet-pipe-size", Doc: "no water closet drains through pipe under 3 in, whatever the table says", Why: "solids need the bore"},
	{ID: "wc-limit-3in-horizontal", Family: "sizes", Stage: inSizes, Clause: "closet-count", Doc: "level 3 in pipe carries no more water closets than the book counts", Why: "closets flush together"},
	{ID: "wc-limit-3in-vertical", Family: "sizes", Stage: inSizes, Clause: "closet-count", Doc: "upright 3 in pipe carries no more water closets than the book counts", Why: "closets flush together"},
	{ID: "trap-undersized", Family: "traps", Stage: inSizes, Clause: "trap-size", Doc: "a trap is at least as large as the book asks for its fixture and flow", Why: "a trap that is too small stands full and overflows its fixture"},
	{ID: "trap-larger-than-drain", Family: "traps", Stage: inSizes, Clause: "trap-not-over-drain", Doc: "a trap is not larger than the drain that it empties into", Why: "the drain stands full and siphons the trap"},
	{ID: "standpipe-drain-under-2in", Family: "sizes", Stage: inSizes, Clause: "washer-drain", Doc: "a clothes washer drains through 2 in trap and pipe", Why: "a pumped washer overflows a smaller standpipe with suds"},
	{ID: "drain-under-minimum", Family: "sizes", Stage: inSizes, Clause: "smallest-pipe", Doc: "no drain is under the smallest size of the book", Why: "it clogs"},
	{ID: "under-ground-min-size", Family: "sizes", Stage: inSizes, Clause: "under-ground-size", Doc: "drains under ground are at least the size that the book or the county asks", Why: "they cannot be reached"},
	{ID: "building-drain-min-size", Family: "sizes", Stage: inSizes, Clause: "building-drain-size", Doc: "building drain is at least the size that the authority asks", Why: "it carries the whole house"},
	{ID: "building-sewer-min-size", Family: "sizes", Stage: inSizes, Clause: "building-drain-size", Doc: "building sewer is at least the size that the authority asks", Why: "it carries the whole house and must be rodded from the street"},
	{ID: "sump-discharge-undersized", Family: "pumps", Stage: inSizes, Clause: "sump-discharge", Doc: "the discharge of a sewage pump is at least the size that the book asks", Why: "solids stop in a smaller one"},
	{ID: "size-limit", Family: "sizes", Stage: inSizes, Doc: "pipe keeps the one-liners of the book, the county and the shop", Why: "each has its reason in its own words"},
	{ID: "size-table", Family: "sizes", Stage: inSizes, Doc: "every pipe has a table that speaks for its role, load and slope", Why: "a size without a table is a guess"},
	{ID: "existing-size", Family: "questions", Stage: inSizes, Doc: "existing pipe has a known size", Why: "what it can still take depends on it"},
}

// vented are the rules that the reading of vents decides.
var vented = []*check.Rule{
	{ID: "unvented-fixture", Family: "vents", Stage: inVents, Clause: "vent-each", Doc: "every trap is protected by a vent of a kind that the book has", Why: "water running past an unvented trap pulls its seal, and sewer gas comes in", Try: "take a vent off the end of its trap arm"},
	{ID: "trap-arm-too-long", Family: "traps", Stage: inVents, Clause: "trap-arm", Doc: "a trap arm, along the pipe from weir to vent, is no longer than its size allows", Why: "past this length the fall takes the pipe below the weir, and the drain siphons its own trap", Try: "bring the vent nearer to the weir"},
	{ID: "trap-arm-too-short", Family: "traps", Stage: inVents, Clause: "crown-vent", Doc: "a vent opens at least two diameters from the weir", Why: "a vent at the crown clogs with what the trap throws"},
	{ID: "trap-arm-fall-exceeds-diameter", Family: "traps", Stage: inVents, Clause: "trap-arm-fall", Doc: "a trap arm falls no more than its diameter", Why: "the vent opening is then below the weir"},
	{ID: "vent-below-trap-weir", Family: "vents", Stage: inVents, Clause: "weir-level", Doc: "the vent opening lies no lower than the trap weir", Why: "the drop siphons the trap before air comes in"},
	{ID: "s-trap", Family: "traps", Stage: inVents, Clause: "trap-barred", Doc: "no trap's outlet turns down without a vent at the turn", Why: "an S-trap siphons itself dry", Try: "put a sanitary tee at the turn with a vent above it"},
	{ID: "wet-vent-undersized", Family: "vents", Stage: inVents, Clause: "wet-vent-size", Doc: "a wet vent carries no more units than its table allows", Why: "a full pipe brings no air"},
	{ID: "wet-vent-wc-not-last", Family: "vents", Stage: inVents, Clause: "wet-vent-closet-last", Doc: "where the book asks it, the water closet joins a horizontal wet vent last", Why: "a closet's slug passes the openings of the traps below it"},
	{ID: "wet-vent-two-groups", Family: "vents", Stage: inVents, Clause: "wet-vent", Doc: "a wet vent serves no more bathroom groups than the book allows", Why: "too much waste runs past the openings"},
	{ID: "wet-vent-foreign-fixture", Family: "vents", Stage: inVents, Clause: "wet-vent", Doc: "only bathroom fixtures drain into a wet vent", Why: "kitchen and laundry waste clogs it and runs long"},
	{ID: "wet-vent-more-than-one-upstream", Family: "vents", Stage: inVents, Clause: "wet-vent-dry", Doc: "no more drains than the book allows join upstream of the dry-vented one", Why: "they have no air behind them"},
	{ID: "wet-vent-closets", Family: "vents", Stage: inVents, Clause: "wet-vent", Doc: "a wet vent takes no more water closets than the book allows", Why: "closets flush together, and their slugs fill the pipe that should bring air", Try: "give one of the water closets a vent of its own"},
	{ID: "wet-vent-dry-fixture", Family: "vents", Stage: inVents, Clause: "wet-vent-dry", Doc: "the dry vent of a wet vent is that of a fixture that the book lets be it", Why: "the dry vent must leave where it is washed least by what could close it"},
	{ID: "wet-vent-joins-upright", Family: "vents", Stage: inVents, Clause: "wet-vent-joins", Doc: "a drain that is vented by a level wet vent joins it lying level", Why: "waste that falls in from above fills the pipe where it should bring air"},
	{ID: "wet-vent-closet-levels", Family: "vents", Stage: inVents, Clause: "wet-vent-vertical", Doc: "water closets on an upright wet vent join at one height", Why: "the slug of the upper one shuts the opening of the lower"},
	{ID: "wet-vent-too-many", Family: "vents", Stage: inVents, Clause: "wet-vent-vertical", Doc: "no more traps breathe through an upright wet vent than the book allows", Why: "one pipe brings only so much air past the waste in it"},
	{ID: "waste-stack-wc", Family: "vents", Stage: inVents, Clause: "waste-stack-vent", Doc: "no water closet drains into a waste stack vent", Why: "its slug fills the stack"},
	{ID: "waste-stack-undersized", Family: "vents", Stage: inVents, Clause: "waste-stack-vent-size", Doc: "a waste stack vent is one size, by its whole load", Why: "it must stay mostly air"},
	{ID: "waste-stack-offset", Family: "vents", Stage: inVents, Clause: "waste-stack-vent", Doc: "a waste stack vent runs straight between the lowest and the highest drain that joins it", Why: "at an offset the falling water fills the bore and shuts off the air"},
	{ID: "circuit-vent-too-many", Family: "vents", Stage: inVents, Clause: "circuit-vent", Doc: "a circuit vent serves no more fixtures than the book allows", Why: "one vent brings only so much air"},
	{ID: "circuit-slope", Family: "vents", Stage: inVents, Clause: "circuit-slope", Doc: "a branch on a circuit vent is no steeper than the book allows", Why: "it must run slow, so that air passes over the waste"},
	{ID: "circuit-vent-place", Family: "vents", Stage: inVents, Clause: "circuit-vent-place", Doc: "a circuit vent leaves between the two most upstream drains", Why: "what lies above it has no air behind it; at the head of the branch it is washed by nothing and clogs"},
	{ID: "circuit-joins-upright", Family: "vents", Stage: inVents, Clause: "circuit-vent", Doc: "a drain that is vented by a circuit vent joins the branch lying level", Why: "waste that falls in from above fills the pipe where it should bring air"},
	{ID: "circuit-size-changes", Family: "vents", Stage: inVents, Clause: "circuit-vent-run", Doc: "a branch on a circuit vent is one size along the vented part", Why: "a step in the bore fills the smaller pipe and shuts off the air above it"},
	{ID: "circuit-vent-extra", Family: "vents", Stage: inVents, Clause: "circuit-vent-extra", Doc: "what drains into a circuit vented branch beside the vented traps stands on their floor and has an individual or a common vent", Why: "its waste takes the air that the circuit vent brings"},
	{ID: "cwv-undersized", Family: "vents", Stage: inVents, Clause: "combination-size", Doc: "a combination waste and vent is as large as its table asks", Why: "it must never run more than part full"},
	{ID: "cwv-disposer", Family: "vents", Stage: inVents, Clause: "combination-disposer", Doc: "a food waste disposer drains into a combination waste and vent only where the book allows it", Why: "editions differ"},
	{ID: "cwv-needs-approval", Family: "vents", Stage: inVents, Clause: "combination-approval", Doc: "a combination waste and vent has the authority's approval where the book asks for it", Why: "the book leaves it to the authority"},
	{ID: "cwv-drop", Family: "vents", Stage: inVents, Clause: "combination-drop", Doc: "the drop into a combination waste and vent is no taller than the book allows", Why: "a tall drop siphons the trap"},
	{ID: "cwv-slope", Family: "vents", Stage: inVents, Clause: "combination-slope", Doc: "a combination waste and vent is no steeper than the book allows", Why: "it must run slow and part full"},
	{ID: "cwv-branch-unvented", Family: "vents", Stage: inVents, Clause: "combination-vent", Doc: "a long branch of a combination waste and vent has a vent of its own where the book asks it", Why: "air over the waste reaches only so far"},
	{ID: "island-vent-no-open-air", Family: "vents", Stage: inVents, Clause: "island-vent", Doc: "the loop of an island is vented at its foot to the open air", Why: "a loop that only comes back to its own drain brings no air", Try: "take a foot vent off the drain where the loop comes down, and run it to the open air"},
	{ID: "mixed-vent-methods", Family: "vents", Stage: inVents, Clause: "wet-vent", Doc: "says where one venting method feeds another, on which authorities differ", Why: "some forbid it"},
	{ID: "vent-place", Family: "questions", Stage: inVents, Doc: "where pipes join at a vent is known", Why: "it decides the method"},
	{ID: "vent-undersized", Family: "vents", Stage: inVents, Clause: "vent-size", Doc: "a vent is as large as the drain that it vents asks", Why: "a vent that is too small cannot bring air as fast as the water falls"},
	{ID: "vent-too-long", Family: "vents", Stage: inVents, Clause: "vent-length", Doc: "a long vent is larger for its whole length", Why: "friction takes the air"},
	{ID: "vent-aggregate-area-short", Family: "vents", Stage: inVents, Clause: "vent-area", Doc: "where the book asks it, the vents through the roof add up to the building sewer", Why: "the system breathes through them"},
}
