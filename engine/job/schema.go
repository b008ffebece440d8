package job

import (
	"bytes"
	"encoding/json"
	"strings"
)

// Schema gives the JSON Schema (draft 2020-12) of a job file, for editors that complete
// and check while one types. It is made of the same lists as the reader; what a schema
// cannot say - names given twice, a level that is not there, a fraction no pipe has - the
// reader says.
func Schema() []byte {
	root := object(jobKeys)
	doc := append(members{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", "Job file of a drain, waste and vent layout"},
		{"description", "docs/job-format.md tells the whole of it."},
	}, root...)
	doc = append(doc, member{"$defs", defs()})
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(doc); err != nil {
		panic("job: the schema cannot be written: " + err.Error())
	}
	return b.Bytes()
}

// members is a JSON object that keeps its order.
type members []member

type member struct {
	name  string
	value any
}

// MarshalJSON writes the members in their order.
func (m members) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i := range m {
		if i > 0 {
			b.WriteByte(',')
		}
		k, err := plainJSON(m[i].name)
		if err != nil {
			return nil, err
		}
		b.Write(k)
		b.WriteByte(':')
		v, err := plainJSON(m[i].value)
		if err != nil {
			return nil, err
		}
		b.Write(v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

func plainJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return bytes.TrimSpace(b.Bytes()), err
}

func ref(name string) members { return members{{"$ref", "#/$defs/" + name}} }

// Any single value that is not blank.
var anyText = members{
	{"type", []string{"string", "number", "boolean"}},
	{"pattern", `\S`},
}

// number or text with a digit and, where the quantity needs one, a unit.
func quantity(pattern string) members {
	return members{{"type", "string"}, {"pattern", pattern}}
}

const anyDigit = `[0-9¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]`

const lengthUnit = `('|"|[′″’”‘“´\x60ʹʺ]|[iI][nN]|[fF](oo|ee)?[tT]|[fF][oO]|[mMcC])`

// defs are the quantities. The patterns let through all that the reader reads and refuse
// what can be seen at a glance: no digit, no unit.
func defs() members {
	place := members{{"type", "string"}, {"pattern", `^\s*(` + anyDigit + `.*` + lengthUnit + `|` + anyCase("upper end") + `|` + anyCase("end of arm") + `|` + anyCase("top of drop") + `|` +
		anyCase("foot") + `|` + anyCase("lower end") + `|` + anyCase("after") + `\s+\S)`}}
	length := members{{"type", []string{"string", "number"}}, {"pattern", anyDigit + `.*` + lengthUnit + `|^\s*-?[0.]+\s*$`}, {"minimum", 0}, {"maximum", 0}}
	leg := members{{"type", "string"}, {"pattern", `[nNsSeEwW]|[dD][oO][wW][nN]|[uU][pP]|[lL][eE][vV][eE][lL]`}}
	return members{
		{"length", length},
		{"height", length},
		{"size", members{{"type", []string{"string", "number"}}, {"pattern", anyDigit + `|[iI][nN][cC][hH]`}, {"exclusiveMinimum", 0}, {"maximum", 15}}},
		{"slope", quantity(`.*(` + anyDigit + `|[iI][nN][cC][hH]|[lL][eE][vV][eE][lL]|[fF][lL][aA][tT])`)},
		{"flow", quantity(anyDigit + `.*[a-zA-Z]`)},
		{"volume", quantity(anyDigit + `.*[a-zA-Z]`)},
		{"temperature", quantity(anyDigit + `.*[FCfc]`)},
		{"load", members{{"type", []string{"string", "number"}}, {"pattern", anyDigit}, {"minimum", 0}}},
		{"flag", members{{"enum", []any{true, false, "yes", "no", "Yes", "No", "YES", "NO", "true", "false", "True", "False", "TRUE", "FALSE"}}}},
		{"place", place},
		{"leg", leg},
		{"degrees", members{{"type", []string{"string", "number"}}, {"pattern", `^\s*[0-9.]+\s*(°|º|[dD][eE][gG].*)?\s*$`}, {"minimum", 0}, {"maximum", 1800}}},
	}
}

// anyCase is a pattern for a word in capitals or not, with any number of blanks.
func anyCase(w string) string {
	var b []byte
	for _, c := range []byte(w) {
		switch {
		case c == ' ':
			b = append(b, `\s+`...)
		case letter(c):
			b = append(b, '[', c|0x20, c&^0x20, ']')
		case c == '.':
			b = append(b, `\.`...)
		default:
			b = append(b, c)
		}
	}
	return string(b)
}

// oneOfWords completes with the words and lets capitals pass, and words written together or
// with a hyphen.
func oneOfWords(words []string) members {
	pattern := `^\s*(`
	numbers := []any{}
	for i, w := range words {
		if i > 0 {
			pattern += "|"
		}
		pattern += strings.NewReplacer(`\s+`, `[\s-]*`, "-", `[\s-]*`).Replace(anyCase(w))
		if v, ok := number(w); ok {
			numbers = append(numbers, v)
		}
	}
	pattern += `)\s*$`
	alts := []any{members{{"enum", words}}, members{{"type", "string"}, {"pattern", pattern}}}
	if len(numbers) > 0 {
		alts = append(alts, members{{"enum", numbers}})
	}
	return members{{"anyOf", alts}}
}

// listOf is a list of items, or one item alone.
func listOf(item members) members {
	return members{{"anyOf", []any{item, members{{"type", "array"}, {"items", item}}}}}
}

func object(keys []key) members {
	props := members{}
	required := []string{}
	dependent := members{}
	for i := range keys {
		k := &keys[i]
		props = append(props, member{k.name, k.schema()})
		if k.need {
			required = append(required, k.name)
		}
		if k.trap {
			dependent = append(dependent, member{k.name, []string{"fixture"}})
		}
	}
	m := members{{"type", "object"}, {"properties", props}, {"additionalProperties", false}}
	if len(required) > 0 {
		m = append(m, member{"required", required})
	}
	if len(dependent) > 0 {
		m = append(m, member{"dependentRequired", dependent})
	}
	return m
}

func (k *key) schema() members {
	var m members
	switch k.takes {
	case takesText:
		m = anyText
	case takesTextList:
		m = listOf(anyText)
	case takesWord:
		m = oneOfWords(k.words)
	case takesWordList:
		m = listOf(oneOfWords(k.words))
	case takesWordOrText:
		m = members{{"anyOf", []any{members{{"enum", k.words}}, anyText}}}
	case takesLength:
		m = ref("length")
	case takesHeight:
		m = ref("height")
	case takesSize:
		m = ref("size")
	case takesSlope:
		m = ref("slope")
	case takesFlow:
		m = ref("flow")
	case takesVolume:
		m = ref("volume")
	case takesTemperature:
		m = ref("temperature")
	case takesLoad:
		m = ref("load")
	case takesCount:
		m = members{{"type", []string{"integer", "string"}}, {"minimum", 1}, {"maximum", 999}, {"pattern", `^\s*0*[1-9][0-9]*\s*$`}}
	case takesCountOrNone:
		m = members{{"type", []string{"integer", "string"}}, {"minimum", 0}, {"maximum", 999}, {"pattern", `^\s*[0-9]+\s*$`}}
	case takesDegrees:
		m = ref("degrees")
	case takesFlag:
		m = ref("flag")
	case takesPlace:
		m = ref("place")
	case takesLegs:
		m = listOf(ref("leg"))
	case takesArm:
		m = members{{"anyOf", []any{ref("length"), listOf(ref("leg"))}}}
	case takesLies:
		m = members{{"anyOf", []any{oneOfWords(liesWords), ref("degrees")}}}
	case takesNorth:
		m = members{{"anyOf", []any{oneOfWords(northWords), ref("degrees")}}}
	case takesLumber:
		alts := []any{members{{"type", "string"}, {"pattern", `^\s*[0-9]{1,2}\s*[xX×]\s*[0-9]{1,2}\s*$`}}}
		if k.words != nil {
			alts = append(alts, oneOfWords(k.words))
		}
		m = members{{"anyOf", alts}}
	case takesClosetBend:
		m = members{{"type", "string"}, {"pattern", `[xX×]`}}
	case takesMapping:
		m = object(k.keys)
	case takesWordOrMapping:
		o := object(k.keys)
		if k.name == "through" {
			one := make([]any, 0, len(throughWords))
			for _, w := range throughWords {
				one = append(one, members{{"required", []string{w}}})
			}
			o = append(o, member{"oneOf", one})
		}
		m = members{{"anyOf", []any{oneOfWords(k.words), o}}}
	case takesCleanouts:
		m = listOf(members{{"anyOf", []any{ref("place"), object(k.keys)}}})
	case takesCarries:
		m = members{{"anyOf", []any{listOf(anyText), object(k.keys)}}}
	case takesNamed:
		o := object(k.keys)
		names := members{{"pattern", `^\S(.*\S)?$`}}
		switch k.name {
		case "levels":
			o = members{{"anyOf", []any{members{{"type", "null"}}, o}}}
		case "walls":
		default:
			o = append(o, member{"not", members{{"required", []string{"legs", "length"}}}})
			names = append(names, member{"not", members{{"enum", append([]string{"outlet"}, endWords...)}}})
		}
		m = members{{"type", "object"}, {"propertyNames", names}, {"additionalProperties", o}}
		if k.need {
			m = append(m, member{"minProperties", 1})
		}
	}
	if k.blank {
		m = members{{"anyOf", []any{members{{"type", "null"}}, m}}}
	}
	return append(members{{"description", k.say}}, m...)
}
