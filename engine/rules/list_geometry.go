package rules

import "trapweir/engine/check"

// geometry are the rules of fall, fittings, cleanouts, room and supports, in report order.
//
// Left out, as no job says what they look at: uniform slope and alignment (R038), saddles
// and solvent joints (R054), ledges in fittings (R053), the wall face of a cleanout (R069),
// the reuse of a cleanout's opening (R072), shields past plates (R163), notches (R165,
// R167), top plates (R168), bedding on rock (R170). They are site facts, for the sheet that
// goes to the inspection.
var geometry = []*check.Rule{
	slopeTooFlat, slopeNeedsApproval, slopeSteep, invertConflict, coverConflict,
	santeeOnBack, santeeFlat, comboOnArm, short90Foot, short90Flat, adviseLongSweep, heelInletCloset,
	doubleTeeClosets, doubleTeeBarrel, doubleInlets, doubleTeePumped, adviseCrossflow, adviseCleanoutCross,
	baseOfStack, sudsZone, adviseSuds, deadEnd, materialTransition,
	cleanoutMissing, cleanoutSpacing, cleanoutDirection, cleanoutInaccessible, cleanoutClearance, cleanoutSize, suggestFewerBends,
	joistHole, joistNotch, joistRoom, studHole, studNotch, topPlate, wallRoom, crawlRoom, shieldPlate, sleeveThrough,
	supportSpacing, trenchCheck,
}
