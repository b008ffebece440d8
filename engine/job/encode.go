package job

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Quote writes a scalar so that it reads back as itself: plain where it can be, else in
// single quotes, else (control characters, line breaks) in double quotes. flow is inside
// { } or [ ].
func Quote(s string, flow bool) string {
	plain := s != "" && s != "~" && s != "null" && s != "Null" && s != "NULL" && s != "<<" &&
		s[0] != ' ' && s[len(s)-1] != ' ' && s[len(s)-1] != ':' && !strings.HasPrefix(s, "---") && !strings.HasPrefix(s, "...")
	single := true
	for i, c := range s {
		switch {
		case c < ' ' || c == 0x7f || c >= 0x80 && c < 0xa0 || c == 0x2028 || c == 0x2029 || c == 0xfeff || c == 0xfffe || c == 0xffff || c == utf8.RuneError:
			plain, single = false, false
		case i == 0 && strings.ContainsRune("!&*|>'\"%@`#,[]{}", c):
			plain = false
		case i == 0 && (c == '-' || c == '?' || c == ':') && (len(s) == 1 || flow || s[1] == ' '):
			plain = false
			// A dash before a digit is a number, everywhere.
			if c == '-' && len(s) > 1 && s[1] >= '0' && s[1] <= '9' {
				plain = true
			}
		case flow && strings.ContainsRune(",[]{}?", c):
			plain = false
		case c == ':' && i+1 < len(s) && s[i+1] == ' ', c == '#' && i > 0 && s[i-1] == ' ':
			plain = false
		}
		if !single {
			break
		}
	}
	// Inside quotes alone a colon next to a bracket is safe; those are quoted above.
	switch {
	case plain && single:
		return s
	case single:
		return "'" + strings.ReplaceAll(s, "'", "''") + "'"
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c == '\n':
			b.WriteString(`\n`)
		case c == '\t':
			b.WriteString(`\t`)
		case c == '\r':
			b.WriteString(`\r`)
		case c < ' ' || c >= 0x7f && c < 0xa0:
			b.WriteString(`\x` + hex(uint64(c), 2))
		case c == 0x2028 || c == 0x2029 || c == 0xfeff || c == 0xfffe || c == 0xffff || c == utf8.RuneError:
			b.WriteString(`\u` + hex(uint64(c), 4))
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}

func hex(v uint64, n int) string {
	s := strconv.FormatUint(v, 16)
	return strings.Repeat("0", max(0, n-len(s))) + s
}

// encode writes a node on one line.
func encode(n *yaml.Node, flow bool) string {
	var b strings.Builder
	encodeTo(&b, n, flow)
	return b.String()
}

func encodeTo(b *strings.Builder, n *yaml.Node, flow bool) {
	switch n.Kind {
	case yaml.MappingNode:
		b.WriteByte('{')
		for i := 0; i+1 < len(n.Content); i += 2 {
			if i > 0 {
				b.WriteString(", ")
			}
			encodeTo(b, n.Content[i], true)
			b.WriteString(":")
			if !empty(n.Content[i+1]) {
				b.WriteByte(' ')
				encodeTo(b, n.Content[i+1], true)
			}
		}
		b.WriteByte('}')
	case yaml.SequenceNode:
		b.WriteByte('[')
		for i, c := range n.Content {
			if i > 0 {
				b.WriteString(", ")
			}
			encodeTo(b, c, true)
		}
		b.WriteByte(']')
	default:
		if empty(n) {
			b.WriteByte('~')
			return
		}
		b.WriteString(Quote(n.Value, flow))
	}
}

// encodeJob writes a whole job: headings in block style, one line for each entry.
func encodeJob(root *yaml.Node, eol string) []byte {
	var b strings.Builder
	for i := 0; i+1 < len(root.Content); i += 2 {
		k, v := root.Content[i], root.Content[i+1]
		encodeTo(&b, k, false)
		b.WriteByte(':')
		switch {
		case empty(v):
		case v.Kind == yaml.MappingNode && isNamed(k.Value) && len(v.Content) > 0:
			for j := 0; j+1 < len(v.Content); j += 2 {
				b.WriteString(eol + "  ")
				encodeTo(&b, v.Content[j], false)
				b.WriteByte(':')
				if !empty(v.Content[j+1]) {
					b.WriteByte(' ')
					encodeTo(&b, v.Content[j+1], false)
				}
			}
		default:
			b.WriteByte(' ')
			encodeTo(&b, v, false)
		}
		b.WriteString(eol)
	}
	if len(root.Content) == 0 {
		return []byte("{}" + eol)
	}
	return []byte(b.String())
}

// entryAnew writes the entry path[0], path[1] of meant over that of old, as one line. ok
// is false where the file is not written in lines there.
func (t *text) entryAnew(old, meant *yaml.Node, path []string) (out []byte, ok bool) {
	a, b := find(old, path[0]), find(meant, path[0])
	if a < 0 || b < 0 || old.Style&yaml.FlowStyle != 0 {
		return nil, false
	}
	from, to := old.Content[a], meant.Content[b]
	if from.Kind != yaml.MappingNode || from.Style&yaml.FlowStyle != 0 || to.Kind != yaml.MappingNode {
		return nil, false
	}
	i, k := find(from, path[1]), find(to, path[1])
	if i < 0 || k < 0 {
		return nil, false
	}
	key := from.Content[i-1]
	start := t.lineStart(key.Line)
	end := len(t.bytes)
	// The entry reaches to the next one's line, or to the next heading's.
	next := 0
	switch {
	case i+1 < len(from.Content):
		next = from.Content[i+1].Line
	case a+1 < len(old.Content):
		next = old.Content[a+1].Line
	}
	if next > 0 {
		end = t.lineStart(next)
		// Comments on lines of their own above the next entry are that one's.
		for n := next - 1; n > key.Line; n-- {
			if l := strings.TrimSpace(string(t.line(n))); l != "" && l[0] != '#' {
				break
			}
			end = t.lineStart(n)
		}
	}
	if start < 0 || end < start || next == key.Line {
		return nil, false
	}
	line := strings.Repeat(" ", key.Column-1) + Quote(path[1], false) + ":"
	if !empty(to.Content[k]) {
		line += " " + encode(to.Content[k], false)
	}
	out = append(out, t.bytes[:start]...)
	out = append(out, line+t.lineBreak()...)
	return append(out, t.bytes[end:]...), true
}
