package job

// The keys of a job, in the order of docs/job-format.md, with what each takes. The reader
// takes the nearest known word from here and the schema is made of it; a test holds both
// against each other.

type kind uint8

const (
	takesText kind = iota
	takesTextList
	takesWord     // one of words
	takesWordList // of words
	takesWordOrText
	takesLength // not below zero
	takesHeight // may be below the datum
	takesSize
	takesSlope
	takesFlow
	takesVolume
	takesTemperature
	takesLoad
	takesCount
	takesCountOrNone // from 0
	takesDegrees
	takesFlag
	takesPlace
	takesLegs
	takesArm
	takesLies
	takesNorth
	takesLumber
	takesClosetBend
	takesMapping
	takesWordOrMapping
	takesCleanouts
	takesCarries
	takesNamed // name -> mapping
)

type key struct {
	name  string
	takes kind
	words []string
	keys  []key
	say   string
	blank bool // may be left blank after the colon
	need  bool // must be there
	trap  bool // only where a fixture stands
}

var jobKeys = []key{
	{name: "job", takes: takesText, need: true, say: "title of the job"},
	{name: "code", takes: takesText, say: "id of the code book in force, from the list of books; your building department tells which"},
	{name: "with", takes: takesTextList, blank: true, say: "local amendments, then shop practice: ids of layers or paths of layer files, in order"},
	{name: "units", takes: takesWord, words: unitsWords, say: "how answers are written"},
	{name: "loads", takes: takesWord, words: loadsWords, say: "count each fixture, or bathroom groups where the book has them"},
	{name: "occupancy", takes: takesWord, words: occupancyWords, say: "what the building is used for"},
	{name: "material", takes: takesWordOrMapping, words: materialWords, keys: materialKeys, say: "of the pipe: one word, or by system"},
	{name: "stories", takes: takesCount, say: "number of stories; counted from the levels when left out"},
	{name: "climate", takes: takesMapping, keys: climateKeys, blank: true, say: "winter design temperature, snow and frost depth"},
	{name: "site", takes: takesMapping, keys: siteKeys, blank: true, say: "facts of the lot"},
	{name: "sheet", takes: takesMapping, keys: sheetKeys, blank: true, say: "free words for the title block"},
	{name: "notes", takes: takesTextList, blank: true, say: "free sentences"},
	{name: "levels", takes: takesNamed, keys: levelKeys, blank: true, say: "floors, by name"},
	{name: "outlet", takes: takesMapping, keys: outletKeys, say: "where the house drains to"},
	{name: "walls", takes: takesNamed, keys: wallKeys, blank: true, say: "faces that stubs are measured from on plans, by name"},
	{name: "runs", takes: takesNamed, keys: runKeys, need: true, say: "drains, by name; each says what it joins"},
	{name: "vents", takes: takesNamed, keys: ventKeys, blank: true, say: "vents, by name"},
}

var materialKeys = []key{
	{name: "drains", takes: takesWord, words: materialWords, say: "of drains above ground"},
	{name: "vents", takes: takesWord, words: materialWords, say: "of vents"},
	{name: "underground", takes: takesWord, words: materialWords, say: "of drains under ground; as drains when left out"},
}

var climateKeys = []key{
	{name: "design temperature", takes: takesTemperature, say: "winter design temperature, such as -5 F"},
	{name: "snow", takes: takesLength, say: "depth of snow on the roof"},
	{name: "frost", takes: takesLength, say: "depth that frost reaches in the ground"},
}

var siteKeys = []key{
	{name: "manhole rim", takes: takesHeight, say: "rim of the next manhole upstream, above the datum"},
	{name: "septic", takes: takesFlag, say: "the lot has a septic tank"},
	{name: "north", takes: takesNorth, say: "where north lies on the sheet: up, right, down, left, or degrees clockwise from up"},
	{name: "address", takes: takesText, say: "of the job"},
	{name: "jurisdiction", takes: takesText, say: "who inspects"},
}

var sheetKeys = []key{
	{name: "owner", takes: takesText, blank: true, say: "for the title block"},
	{name: "address", takes: takesText, blank: true, say: "for the title block"},
	{name: "parcel", takes: takesText, blank: true, say: "number of the lot or parcel"},
	{name: "permit", takes: takesText, blank: true, say: "permit number"},
	{name: "drawn by", takes: takesText, blank: true, say: "for the title block"},
	{name: "date", takes: takesText, blank: true, say: "for the title block"},
	{name: "licence", takes: takesText, blank: true, say: "licence number"},
}

var levelKeys = []key{
	{name: "floor", takes: takesHeight, say: "height of the finished floor above the datum"},
	{name: "joists", takes: takesLumber, words: joistWords, say: "floor structure: 2x10, i-joist or truss"},
	{name: "joist spacing", takes: takesLength, say: "centre to centre"},
	{name: "joist direction", takes: takesWord, words: acrossWords, say: "which way the joists run"},
	{name: "slab", takes: takesLength, say: "thickness of the slab"},
	{name: "under", takes: takesText, say: "what is below: crawl space, basement, slab, or level NAME"},
	{name: "grade", takes: takesHeight, say: "height of the ground outside above the datum"},
	{name: "ceiling", takes: takesLength, say: "height of the ceiling above the floor"},
	{name: "studs", takes: takesLumber, say: "wall studs: 2x4 or 2x6"},
	{name: "crawl height", takes: takesLength, say: "clear height of the crawl space"},
	{name: "subfloor", takes: takesLength, say: "from the top of the joists to the finished floor"},
}

var wallKeys = []key{
	{name: "from", takes: takesText, say: "a run"},
	{name: "at", takes: takesPlace, say: "upper end or lower end of it; upper end when left out"},
	{name: "legs", takes: takesLegs, say: "from there square to the wall: S 2'"},
}

var outletKeys = []key{
	{name: "to", takes: takesText, say: "public sewer, septic tank, house drain, sump ..."},
	{name: "invert", takes: takesHeight, say: "height of the invert above the datum"},
	{name: "size", takes: takesSize, say: "size of the pipe that is met"},
	{name: "grade", takes: takesHeight, say: "height of the ground there above the datum"},
	{name: "sleeve", takes: takesFlag, say: "a sleeve through the foundation"},
}

var invertKeys = []key{
	{name: "upper", takes: takesHeight, say: "at the upper end, above the datum"},
	{name: "lower", takes: takesHeight, say: "at the lower end, above the datum"},
}

var cleanoutKeys = []key{
	{name: "at", takes: takesPlace, say: "where on the run or vent"},
	{name: "type", takes: takesWord, words: cleanoutWords, say: "kind of cleanout"},
	{name: "size", takes: takesSize, say: "size of the cleanout"},
	{name: "reach", takes: takesWord, words: reachWords, say: "can it be got at"},
	{name: "clearance", takes: takesLength, say: "free room in front of it"},
}

var carriesKeys = []key{
	{name: "units", takes: takesLoad, say: "fixture units"},
	{name: "water closets", takes: takesCountOrNone, say: "how many water closets are among them"},
	{name: "fixtures", takes: takesTextList, say: "fixture kinds, such as lavatory or 2 bathtubs"},
	{name: "note", takes: takesText, say: "free words"},
	{name: "level", takes: takesText, say: "the level that they stand on"},
}

var basinKeys = []key{
	{name: "pump", takes: takesFlow, say: "flow of the pump"},
	{name: "head", takes: takesLength, say: "height that it lifts to"},
	{name: "diameter", takes: takesLength, say: "of the basin, inside"},
	{name: "depth", takes: takesLength, say: "of the basin, inside"},
	{name: "check valve", takes: takesFlag, say: "in the discharge"},
	{name: "full-open valve", takes: takesFlag, say: "in the discharge"},
	{name: "cover", takes: takesWord, words: coverWords, say: "of the basin"},
	{name: "solids", takes: takesLength, say: "largest solid that the pump passes"},
	{name: "grinder", takes: takesFlag, say: "a grinder pump"},
	{name: "macerator", takes: takesFlag, say: "a unit at one water closet that macerates and lifts"},
	{name: "pneumatic", takes: takesFlag, say: "an ejector that air pushes"},
	{name: "inlet above high water", takes: takesLength, say: "height of the inlet above the high water level"},
}

var throughKeys = []key{
	{name: "joists", takes: takesCount, say: "how many joists"},
	{name: "studs", takes: takesCount, say: "how many studs"},
	{name: "top plate", takes: takesCount, say: "how many top plates (one for each wall, doubled or not)"},
	{name: "sole plate", takes: takesCount, say: "how many sole plates"},
	{name: "footing", takes: takesCount, say: "how many footings"},
	{name: "slab edge", takes: takesCount, say: "how many slab edges"},
	{name: "cut", takes: takesWord, words: cutWords, say: "how the member is cut"},
	{name: "deep", takes: takesLength, say: "depth of a notch; left out: as deep as the pipe is wide"},
	{name: "bearing", takes: takesFlag, say: "the studs or the plate carry load"},
	{name: "doubled", takes: takesFlag, say: "the studs are doubled where they are bored"},
	{name: "strap", takes: takesFlag, say: "a metal tie over the cut plate"},
}

var outletToWeirKeys = []key{
	{name: "down", takes: takesLength, say: "height from the fixture's outlet to the trap weir"},
	{name: "across", takes: takesLength, say: "level distance from the fixture's outlet to the trap"},
}

var runKeys = []key{
	{name: "joins", takes: takesText, need: true, say: "outlet, or the name of the run that it drains into"},
	{name: "at", takes: takesPlace, say: "where on the receiver"},
	{name: "legs", takes: takesLegs, say: "straight pieces in the order of flow: E 4' 6\", down 8', N45E 3'"},
	{name: "length", takes: takesLength, say: "when only the length is known"},
	{name: "lies", takes: takesLies, say: "level, upright or degrees from plumb, with length"},
	{name: "bends", takes: takesDegrees, say: "turns in plan added up, in degrees, when the legs do not show them"},
	{name: "arm", takes: takesArm, say: "the trap arm, weir to its end: a length, a leg or a list of legs"},
	{name: "slope", takes: takesSlope, say: "of its level legs"},
	{name: "size", takes: takesSize, say: "as built or demanded"},
	{name: "material", takes: takesWord, words: materialWords, say: "of this pipe"},
	{name: "existing", takes: takesFlag, say: "the pipe is there already"},
	{name: "remove", takes: takesFlag, say: "the pipe is taken out"},
	{name: "new", takes: takesFlag, say: "the pipe is new work"},
	{name: "role", takes: takesWord, words: runRoleWords, say: "override of what the run is"},
	{name: "place", takes: takesWord, words: whereWords, say: "what it lies in"},
	{name: "fitting", takes: takesWord, words: fittingWords, say: "at its lower end, where it joins"},
	{name: "turn", takes: takesWordList, words: turnWords, say: "fitting of its own turns"},
	{name: "bend", takes: takesClosetBend, say: "closet bend: 4x3"},
	{name: "vented", takes: takesWord, words: ventedWords, say: "pin of how its traps are vented"},
	{name: "invert", takes: takesMapping, keys: invertKeys, say: "heights of the invert when known"},
	{name: "weir", takes: takesHeight, say: "height of the trap weir above the datum"},
	{name: "cleanouts", takes: takesCleanouts, keys: cleanoutKeys, say: "places, or mappings with detail"},
	{name: "carries", takes: takesCarries, keys: carriesKeys, say: "load that comes in at the upper end from a part that is not drawn"},
	{name: "basin", takes: takesMapping, keys: basinKeys, say: "the run is a pump discharge"},
	{name: "devices", takes: takesWordList, words: deviceWords, say: "valves and interceptors on the run"},
	{name: "through", takes: takesWordOrMapping, words: throughWords, keys: throughKeys, say: "what it is bored through"},
	{name: "joint", takes: takesWord, words: jointWords, say: "to its receiver, where materials differ"},
	{name: "room", takes: takesText, say: "where it is"},
	{name: "level", takes: takesText, say: "the level that it serves"},
	{name: "note", takes: takesText, say: "free words"},
	{name: "fixture", takes: takesText, say: "kind of the fixture at its upper end"},
	{name: "flush", takes: takesVolume, trap: true, say: "volume of a flush: 1.28 gal"},
	{name: "flow", takes: takesFlow, trap: true, say: "flow: 2.5 gpm"},
	{name: "heads", takes: takesCount, trap: true, say: "shower heads"},
	{name: "outlets", takes: takesCount, trap: true, say: "outlets"},
	{name: "bowls", takes: takesCount, trap: true, say: "bowls"},
	{name: "disposer", takes: takesFlag, trap: true, say: "a food waste disposer"},
	{name: "dishwasher", takes: takesFlag, trap: true, say: "a dishwasher drains into this sink"},
	{name: "use", takes: takesWord, words: useWords, trap: true, say: "who uses the fixture"},
	{name: "units", takes: takesLoad, trap: true, say: "declared fixture units"},
	{name: "trap", takes: takesSize, trap: true, say: "trap size"},
	{name: "trap type", takes: takesWord, words: trapTypeWords, trap: true, say: "kind of trap"},
	{name: "outlet to weir", takes: takesMapping, keys: outletToWeirKeys, trap: true, say: "from the fixture's outlet to the trap weir"},
	{name: "standpipe", takes: takesLength, trap: true, say: "rim above the weir"},
	{name: "trap above floor", takes: takesHeight, trap: true, say: "height of the trap above the floor"},
	{name: "rim", takes: takesHeight, trap: true, say: "flood level rim above the floor of its level"},
	{name: "serves", takes: takesTextList, trap: true, say: "fixtures on one trap"},
	{name: "apart", takes: takesLength, trap: true, say: "distance between their outlets"},
	{name: "emergency", takes: takesFlag, trap: true, say: "an emergency floor drain"},
	{name: "primer", takes: takesFlag, trap: true, say: "a trap primer"},
	{name: "clear side", takes: takesLength, trap: true, say: "free room beside it, from its centre"},
	{name: "clear front", takes: takesLength, trap: true, say: "free room in front of it"},
	{name: "air gap", takes: takesFlag, trap: true, say: "an air gap"},
	{name: "high loop", takes: takesFlag, trap: true, say: "a high loop"},
	{name: "island", takes: takesFlag, trap: true, say: "stands free of walls"},
	{name: "future", takes: takesFlag, trap: true, say: "roughed in for later, not set yet"},
	{name: "location", takes: takesText, trap: true, say: "such as garage"},
	{name: "drain", takes: takesText, trap: true, say: "where its drain is, such as center"},
}

var terminalKeys = []key{
	{name: "above roof", takes: takesLength, say: "height above the roof"},
	{name: "roof", takes: takesHeight, say: "height of the roof there above the datum"},
	{name: "from opening", takes: takesLength, say: "level distance to the nearest opening"},
	{name: "above opening", takes: takesLength, say: "height above that opening"},
	{name: "below opening", takes: takesLength, say: "depth below the top of that opening"},
	{name: "lot line", takes: takesLength, say: "distance to the lot line"},
	{name: "from wall", takes: takesLength, say: "distance to the nearest wall or other upright face beside it"},
	{name: "above grade", takes: takesLength, say: "height above the ground"},
	{name: "under soffit", takes: takesFlag, say: "ends under a soffit"},
	{name: "size", takes: takesSize, say: "size through the roof"},
	{name: "occupied roof", takes: takesFlag, say: "people use the roof"},
	{name: "covered", takes: takesFlag, say: "ends under a panel or a shroud"},
	{name: "enlarged inside", takes: takesLength, say: "how far below the roof it is enlarged"},
}

var valveKeys = []key{
	{name: "above arm", takes: takesHeight, say: "height above the trap arm"},
	{name: "above drain", takes: takesHeight, say: "height above the drain"},
	{name: "above rim", takes: takesHeight, say: "height above the flood level rim"},
	{name: "above insulation", takes: takesHeight, say: "height above the insulation of an attic"},
	{name: "reach", takes: takesWord, words: reachWords, say: "can it be got at"},
	{name: "ventilated", takes: takesFlag, say: "air reaches it"},
	{name: "kind", takes: takesWord, words: valveKindWords, say: "branch or stack type"},
}

var ventKeys = []key{
	{name: "from", takes: takesTextList, say: "the run or vent that it takes off from, or a list of those that come together in it"},
	{name: "at", takes: takesPlace, say: "where on it"},
	{name: "legs", takes: takesLegs, say: "straight pieces, from the take-off on: up 12', E 4'"},
	{name: "length", takes: takesLength, say: "when only the length is known"},
	{name: "lies", takes: takesLies, say: "level, upright or degrees from plumb, with length"},
	{name: "slope", takes: takesSlope, say: "of its level legs"},
	{name: "size", takes: takesSize, say: "as built or demanded"},
	{name: "material", takes: takesWord, words: materialWords, say: "of this pipe"},
	{name: "existing", takes: takesFlag, say: "the pipe is there already"},
	{name: "remove", takes: takesFlag, say: "the pipe is taken out"},
	{name: "new", takes: takesFlag, say: "the pipe is new work"},
	{name: "place", takes: takesWord, words: whereWords, say: "what it lies in"},
	{name: "level", takes: takesText, say: "the level that it is on"},
	{name: "fitting", takes: takesWord, words: fittingWords, say: "at the take-off"},
	{name: "turn", takes: takesWordList, words: turnWords, say: "fitting of its own turns"},
	{name: "ends", takes: takesWordOrText, words: endWords, say: "where it ends; or the name of a vent or run"},
	{name: "into at", takes: takesPlace, say: "where on the receiving vent or run"},
	{name: "terminal", takes: takesMapping, keys: terminalKeys, say: "its end outdoors"},
	{name: "valve", takes: takesMapping, keys: valveKeys, say: "an air admittance valve"},
	{name: "rises from", takes: takesWord, words: []string{"above centre line", "above center line", "above centreline", "above centerline", "level", "rolled 45"}, say: "the take-off, when the legs do not show it"},
	{name: "above rim", takes: takesHeight, say: "height above the highest flood rim served at which it first turns level or joins another vent"},
	{name: "role", takes: takesWord, words: ventRoleWords, say: "override of what the vent is"},
	{name: "joint", takes: takesWord, words: jointWords, say: "at the take-off, where materials differ"},
	{name: "cleanouts", takes: takesCleanouts, keys: cleanoutKeys, say: "places on the vents of an island, or mappings with detail"},
	{name: "note", takes: takesText, say: "free words"},
}
