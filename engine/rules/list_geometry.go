package rules

import "trapweir/engine/check"

// geometry are the rules of fall, fittings, cleanouts, room and supports, in report order.
//
// Left out, as no job says what they look at: uniform slope and alignment (R038), ledges in
// fittings (R053), the wall face of a cleanout (R069). They are site facts, for the sheet that
// goes to the inspection (data/sitechecks.yaml). So is what a trench shows (R169 to R171): the
// last rule here only says once that it is to be looked at.
var geometry = []*check.Rule{
	slopeTooFlat, slopeNeedsApproval, slopeSteep, invertConflict, coverConflict,
	santeeOnBack, santeeFlat, notDrainage, comboOnArm, short90Foot, short90Flat, adviseLongSweep, heelInletCloset, heelInletWet, closetBend,
	doubleTeeClosets, doubleTeeBarrel, doubleInlets, doubleUnlike, doubleTeePumped, adviseCrossflow, adviseCleanoutCross,
	baseOfStack, sudsZone, adviseSuds, pumpedEntry, deadEnd, materialTransition,
	cleanoutMissing, cleanoutSpacing, cleanoutDirection, cleanoutInaccessible, cleanoutClearance, cleanoutSize, cleanoutReused, adviseTurnPairs, islandCleanouts, suggestFewerBends,
	joistHole, joistNotch, joistRoom, trapRoom, studHole, studNotch, topPlate, wallRoom, crawlRoom, shieldPlate, sleeveThrough,
	supportSpacing, trenchCheck,
}
