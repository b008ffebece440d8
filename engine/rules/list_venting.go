package rules

import "trapweir/engine/check"

// venting are the checks of traps, vents, their ends, pumps and what stands in a building,
// in report order; then what is asked, advised and suggested.
var venting = []*check.Rule{
	// traps
	untrappedFixture, doubleTrap, barredTraps, buildingTrap, freshAirInlet,
	trapDiffersFromArm, trapOverloaded, trapArmBends, outletToTrap,
	sharedTrapMany, sharedTrapApart, standpipeHeight, standpipeTrapHeight, standpipeTray, standpipe3in,
	floorDrainPrimer, garageDrain, dishwasherGap,
	// vents
	flatVent, ventTakeoff, ventTieIn, ventBackPitch, wasteIntoVent, ventStack, ventStackBase, reliefTall, offsetVent, circuitRelief, combinationVentPlace, futureVent,
	islandKinds, islandHeight, ventAsDrain, valveProhibited, valveHeight, valveInsulation, valveReach, valveAccess, valveFloors, valveRelief, tallValve, valveOnSump, openAir, mainVentSize, valvesNeedOpenAir, mainVentBase,
	// terminals
	terminalHeight, terminalCovered, terminalOccupied, terminalFrost, terminalLocation, terminalWall, terminalSoffit, ventFreezes,
	// pumps
	sumpCheckValve, sumpFullOpen, sumpCover, sumpUnvented, sumpPit, sumpInlet, pumpFlow, pumpSolids, ejectorApart, gravityIntoSump, pumpCurve,
	backwaterValve, backwaterBypass,
	// building
	fixtureClearance, exteriorWall,
	// questions
	septicCapacity, lateralSlope, trapSizeAsked, trapHeightAsked, wallAtTakeoff, ventMeets,
	// advice
	trapClose, upsize, suggestWetVent, suggestIslandLoop, suggestCombination, suggestTray,
}
