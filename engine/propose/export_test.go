package propose

// Decisions are seen by the tests.
var Decisions = decisions
