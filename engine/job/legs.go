package job

import (
	"strings"
	"unicode/utf8"

	"trapweir/engine/unit"
)

// A slip is what is wrong with a leg or a place, in words that follow the thing's name.
type slip struct{ found, try string }

const legHelp = "write a direction and a length: E 4' 6\", N45E 4', down 8' 6\""

// ParseLeg reads one leg: a direction (E, N45E, north, down, up, down 45 E, down 22.5 from
// plumb E, level) and a length, in either order; the length may be missing. try is what to
// write instead when found is not empty.
func ParseLeg(s string) (leg Leg, found, try string) {
	leg, bad := parseLeg(s)
	return leg, bad.found, bad.try
}

func parseLeg(s string) (Leg, slip) {
	s = strings.TrimSpace(s)
	if s == "" {
		return Leg{}, slip{"is empty", legHelp}
	}
	if !letter(s[0]) {
		return lengthFirst(s)
	}
	way, rest, bad := parseWay(s)
	if bad.found != "" {
		return Leg{}, bad
	}
	l := Leg{Way: way}
	rest = strings.TrimLeft(rest, " \t")
	if rest == "" {
		return l, slip{}
	}
	v, bad := legLength(rest)
	if bad.found != "" {
		return Leg{}, bad
	}
	l.Length = Len{V: v, Set: true}
	return l, slip{}
}

// lengthFirst reads 6' N.
func lengthFirst(s string) (Leg, slip) {
	for i := 1; i < len(s); i++ {
		if !letter(s[i]) || letter(s[i-1]) {
			continue
		}
		way, rest, bad := parseWay(s[i:])
		if bad.found != "" || strings.TrimSpace(rest) != "" {
			continue
		}
		v, bad := legLength(s[:i])
		if bad.found != "" {
			return Leg{}, bad
		}
		return Leg{Way: way, Length: Len{V: v, Set: true}}, slip{}
	}
	if v, err := unit.ParseLength(s); err == nil {
		return Leg{}, slip{"has a length and no direction", "write the direction first: E " + v.String() + ", down " + v.String() + ", or level " + v.String()}
	}
	return Leg{}, slip{"has no direction that is known", legHelp}
}

func legLength(s string) (unit.Length, slip) {
	v, err := unit.ParseLength(s)
	if err != nil {
		found, try := unitFault(err)
		return 0, slip{"cannot be read: " + found, try}
	}
	if v < 0 {
		return 0, slip{"has a length below zero", "turn the direction round instead"}
	}
	return v, slip{}
}

func letter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// word takes the letters at the front of s, lowered into buf.
func word(s string, buf *[12]byte) (w []byte, rest string) {
	i := 0
	for i < len(s) && letter(s[i]) {
		if i < len(buf) {
			buf[i] = s[i] | 0x20
		}
		i++
	}
	if i > len(buf) {
		return buf[:0], s[i:]
	}
	return buf[:i], s[i:]
}

// compass turns a word into tenths of a degree clockwise from north, or -1.
func compass(w []byte) int16 {
	switch string(w) {
	case "n", "north":
		return 0
	case "ne", "northeast":
		return 450
	case "e", "east":
		return 900
	case "se", "southeast":
		return 1350
	case "s", "south":
		return 1800
	case "sw", "southwest":
		return 2250
	case "w", "west":
		return 2700
	case "nw", "northwest":
		return 3150
	}
	return -1
}

// parseWay reads the direction at the front of s and returns what follows it.
func parseWay(s string) (Way, string, slip) {
	var buf [12]byte
	w, rest := word(s, &buf)
	switch string(w) {
	case "down":
		return slope(Way{Down: true}, rest)
	case "up":
		return slope(Way{Up: true}, rest)
	case "level":
		way := Way{Plumb: 900}
		if az, r, ok := plan(strings.TrimLeft(rest, " \t")); ok {
			way.HasPlan, way.Azimuth, rest = true, az, r
		}
		return way, rest, slip{}
	}
	if az, r, ok := plan(s); ok {
		return Way{HasPlan: true, Azimuth: az, Plumb: 900}, r, slip{}
	}
	n := 0
	for n < len(s) && s[n] != ' ' && s[n] != '\t' {
		n++
	}
	try := legHelp
	if near := nearest(s[:n], directionWords); near != "" && n > 2 {
		try = "did you mean " + near + "?"
	}
	return Way{}, s, slip{"has the direction " + quoted(s[:n]) + ", which is not known", try}
}

var directionWords = []string{
	"N", "E", "S", "W", "NE", "SE", "SW", "NW", "down", "up", "level", "north", "east", "south", "west",
	"northeast", "southeast", "southwest", "northwest",
}

// plan reads a direction in plan: E, NE, north, north-east, N45E, N 22.5 W.
func plan(s string) (azimuth int16, rest string, ok bool) {
	var buf, buf2 [12]byte
	w, rest := word(s, &buf)
	az := compass(w)
	if az < 0 {
		return 0, s, false
	}
	if az != 0 && az != 1800 {
		return az, rest, true
	}
	// north and south may go on: 45E, -east, east.
	t := strings.TrimLeft(rest, " \t")
	if deg, r, ok := degrees(t); ok {
		r = degreeMark(r)
		w2, r2 := word(r, &buf2)
		if side := compass(w2); (side == 900 || side == 2700) && deg <= 900 {
			return bearing(az, side, deg), r2, true
		}
		return az, rest, true
	}
	t = strings.TrimPrefix(t, "-")
	w2, r2 := word(t, &buf2)
	if side := compass(w2); side == 900 || side == 2700 {
		return bearing(az, side, 450), r2, true
	}
	return az, rest, true
}

// bearing counts deg tenths from north or south towards east or west.
func bearing(from, side, deg int16) int16 {
	az := deg
	switch {
	case from == 0 && side == 2700:
		az = 3600 - deg
	case from == 1800 && side == 900:
		az = 1800 - deg
	case from == 1800:
		az = 1800 + deg
	}
	return az % 3600
}

// degrees reads a number with at most one decimal, in tenths.
func degrees(s string) (tenths int16, rest string, ok bool) {
	i, v := 0, 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' && i < 3 {
		v = v*10 + int(s[i]-'0')
		i++
	}
	if i == 0 || i < len(s) && s[i] >= '0' && s[i] <= '9' {
		return 0, s, false
	}
	v *= 10
	if i+1 < len(s) && s[i] == '.' && s[i+1] >= '0' && s[i+1] <= '9' {
		v += int(s[i+1] - '0')
		i += 2
		if i < len(s) && s[i] >= '0' && s[i] <= '9' {
			return 0, s, false
		}
	}
	return int16(v), s[i:], true
}

// degreeMark skips spaces and a sign or word for degrees.
func degreeMark(s string) string {
	s = strings.TrimLeft(s, " \t")
	if r, n := utf8.DecodeRuneInString(s); r == '°' || r == 'º' {
		return strings.TrimLeft(s[n:], " \t")
	}
	var buf [12]byte
	if w, rest := word(s, &buf); string(w) == "deg" || string(w) == "degree" || string(w) == "degrees" {
		return strings.TrimLeft(strings.TrimPrefix(rest, "."), " \t")
	}
	return s
}

const slopeHelp = "write down 45 E 3', or down 22.5 from plumb E 3'"

// slope reads what may follow down and up: degrees, from plumb or level, a plan direction.
func slope(way Way, s string) (Way, string, slip) {
	var buf [12]byte
	t := strings.TrimLeft(s, " \t")
	deg, r, ok := degrees(t)
	if !ok {
		if az, _, ok := plan(t); ok && az >= 0 {
			return Way{}, s, slip{"goes down or up and has a direction in plan, but no degrees", slopeHelp}
		}
		return way, s, slip{}
	}
	marked := degreeMark(r)
	sure := len(marked) < len(strings.TrimLeft(r, " \t"))
	r = marked
	if w, r2 := word(r, &buf); string(w) == "from" {
		w, r3 := word(strings.TrimLeft(r2, " \t"), &buf)
		switch string(w) {
		case "plumb":
		case "level":
			deg = 900 - deg
		default:
			return Way{}, s, slip{"counts its degrees from something that is not known", "count from plumb or from level: down 22.5 from plumb E 3'"}
		}
		sure, r = true, r3
		if deg < 0 || deg > 900 {
			return Way{}, s, slip{"leans more than 90 degrees", slopeHelp}
		}
	} else if az, _, ok := plan(r); ok && az >= 0 || sure {
		if deg != 450 {
			return Way{}, s, slip{"does not say where its degrees count from", "write down " + tenths(deg) + " from plumb, or from level"}
		}
		sure = true
	}
	if !sure {
		return way, s, slip{} // a length: down 8' 6"
	}
	way.Plumb = deg
	if az, r2, ok := plan(strings.TrimLeft(r, " \t")); ok {
		way.HasPlan, way.Azimuth, r = true, az, r2
	}
	return way, r, slip{}
}

// String gives the way as it is written in a job: E, N45E, down, down 45 E, down 22.5 from
// plumb E, level.
func (w Way) String() string {
	plan := ""
	if w.HasPlan {
		plan = azimuthText(w.Azimuth)
	}
	head := ""
	switch {
	case w.Down:
		head = "down"
	case w.Up:
		head = "up"
	case plan != "":
		return plan
	default:
		return "level"
	}
	if w.Plumb == 450 {
		head += " 45"
	} else if w.Plumb != 0 {
		head += " " + tenths(w.Plumb) + " from plumb"
	}
	if plan != "" {
		head += " " + plan
	}
	return head
}

// String gives the leg as it is written in a job, its length in feet and inches.
func (l Leg) String() string { return l.In(unit.FeetInches) }

// In is String with the length in the given system.
func (l Leg) In(sys unit.System) string {
	if !l.Length.Set {
		return l.Way.String()
	}
	return l.Way.String() + " " + l.Length.V.In(sys)
}

func azimuthText(az int16) string {
	switch az {
	case 0:
		return "N"
	case 450:
		return "NE"
	case 900:
		return "E"
	case 1350:
		return "SE"
	case 1800:
		return "S"
	case 2250:
		return "SW"
	case 2700:
		return "W"
	case 3150:
		return "NW"
	}
	switch {
	case az < 900:
		return "N" + tenths(az) + "E"
	case az < 1800:
		return "S" + tenths(1800-az) + "E"
	case az < 2700:
		return "S" + tenths(az-1800) + "W"
	}
	return "N" + tenths(3600-az) + "W"
}
