// Package web serves the workbench: a page on which a job is drawn, sized and checked as it
// changes. It is a thin shell: it reads and saves files of one folder, calls the engine and
// hands back what the engine and the views made. No rule, no sum and no geometry of pipes
// lives here or in the page.
//
// # What the page calls
//
// All answers are JSON unless said otherwise; a fault is {"error": words} with a 4xx status.
//
//	GET  /                          the page (embedded; nothing is fetched from elsewhere)
//	GET  /api/jobs                  {"folder", "jobs": [{"name", "title", "changed", "bytes"}]}
//	POST /api/jobs                  {"name", "title", "code", "fixtures": ["2 lavatory", ...] or "floors": 2, "under", "metric", "drain", "street"} -> State of a new job
//	GET  /api/job/{name}            State
//	PUT  /api/job/{name}            {"rev", "text"} -> State: save the whole text; 409 with State when rev is not the file's
//	POST /api/job/{name}/edit       {"rev", "edits": [job.Edit ...]} -> State: edits that keep comments; 409 likewise
//	POST /api/solve                 {"name", "text", "code"} -> State without saving (what would be)
//	POST /api/job/{name}/length     {"rev", "heading", "name", "part", "length"} -> State: a leg gets its length
//	POST /api/job/{name}/step       {"rev", "by": -1 or 1} -> State: undo or redo
//	POST /api/job/{name}/aside      {"text"} -> State: a text that lost against another is kept one undo away
//	GET  /api/job/{name}/versions   {"versions": [{"rev", "saved", "bytes"}]}, newest first
//	GET  /api/job/{name}/versions/{rev}   the text of a version
//	GET  /api/job/{name}/why/{thing}      report.WhyPage
//	GET  /api/job/{name}/walk/{fixture}   {"steps": [report.Step ...]}; an empty fixture is the farthest one
//	GET  /api/job/{name}/fix        {"changes": proposals for its findings, "people": what no change to the job cures}
//	GET  /api/job/{name}/pages/{what}     {"pages": [svg ...]} of a view, the set or the order; ?of=RUN&level=NAME
//	GET  /api/job/{name}/file/{out} VIEW.pdf of what pages shows, riser, section and plan as .svg and .dxf, fall.txt, order.xlsx, order.csv as a download; ?of=RUN&level=NAME
//	POST /api/job/{name}/room       {"rev", "place": {"kind", "as", "joins", "at", "level", "heads", "place", "stack"}} -> State: a room laid out; what is left open of where it goes is settled
//	POST /api/job/{name}/copy       {"rev", "place": {"room", "as", "joins", "at", "level", "mirror", "place", "stack"}} -> State: a room copied
//	GET  /api/forms                 {"keys": Forms, "rooms": [Room ...]}: what a file may hold, and the rooms to start from
//	GET  /font/regular.ttf, /font/bold.ttf, /ink.css   the type and the inks of the drawings
//	GET  /api/kinds                 the fixture kinds, with plurals and other words
//	GET  /api/books                 the books and layers
//	GET  /api/events                server-sent events: "changed" {"name", "rev"} when a file changes outside this window
//
// State is {"name", "rev", "text", "result": Shown, "svg": Parts, "holds", "ways", "written",
// "answers", "plans", "lowest", "undo", "redo"}: svg is the riser, or with
// ?view=plan&level=NAME the plan of a level, whose ids are those of the job's runs, vents and
// findings; holds say which legs it draws, and how far the end of each moves for a step of
// length; written is the file key by key, answers the keys that would settle questions. A page
// that gives the key of the drawing that it has (Has-Drawing) gets only those elements that
// differ from it. A job of more pieces of pipe than the page draws has "says", why there is no
// drawing of it, and neither pages nor files.
//
// A change that is asked for with Accept: application/x-ndjson is answered in lines: State
// as soon as it is solved, the drawing of a large job when it is made, and that the disk has
// the text when it has.
//
// # Safety
//
// It listens on loopback unless told otherwise; then a token is asked for. Host and Origin
// are checked, so that no other page can reach it; bodies are bounded; names are plain file
// names inside the folder. Every save is written beside, synced and renamed, and the text
// that it replaces is kept as a version; the line of versions that undo steps along is kept
// beside them.
package web
