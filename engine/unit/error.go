package unit

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// Error gives one line: the quantity and its text, what is wrong, what to write instead,
// as in: length "4" has no unit: write 4 ft, 4 in or 4 mm.
func (e *Error) Error() string {
	var b strings.Builder
	if e.What != "" {
		b.WriteString(e.What)
		b.WriteByte(' ')
	}
	b.WriteString(quote(e.Text))
	b.WriteByte(' ')
	switch {
	case e.Says != "":
		b.WriteString(e.Says)
	case e.Found == "":
		b.WriteString("ends where " + e.Expected + " was expected")
	default:
		b.WriteString("has " + quote(e.Found) + " where " + e.Expected + " was expected")
	}
	if e.Write != "" {
		b.WriteString(": write ")
		b.WriteString(e.Write)
	}
	return b.String()
}

// quote quotes a text for a message: an inch mark inside stays readable, a long or
// unprintable text is cut or escaped.
func quote(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) > most {
		n := 0
		for i := range s {
			if n++; n > most {
				s = s[:i] + "..."
				break
			}
		}
	}
	if strings.Contains(s, `"`) && strconv.CanBackquote(s) {
		return "`" + s + "`"
	}
	return strconv.Quote(s)
}
