package fields

import (
	"encoding/json"
	"strings"
)

// The fast way through journal text. A journal of decades is decoded on every
// start, and the general decoder takes most of that time to find out where
// values begin and end. These functions only cut text that json.Valid passed:
// tests hold them against the general decoder.

// raw is the JSON text of one value.
type raw string

// member is a field of a JSON object.
type member struct {
	name  string
	value raw
	seen  bool // for who reads them
}

// object is a JSON object cut into its fields, in order, each name once. Few enough are
// there to look for one from the first.
type object []member

// of returns the field of a name, nil if there is none.
func (o object) of(name string) *member {
	for i := range o {
		if o[i].name == name {
			return &o[i]
		}
	}
	return nil
}

// manyMembers is how many no entry has: looking from the first would take a hostile text
// for ever.
const manyMembers = 64

// index looks among all fields that an object has, those still to be added too.
func (o object) index() func(name string) bool {
	known := map[string]bool{}
	for _, m := range o {
		known[m.name] = true
	}
	return func(name string) bool {
		was := known[name]
		known[name] = true
		return was
	}
}

// cutObject cuts a JSON object into its fields, kept in the room of o, and names those
// that are given twice, the first of which stays. It is false if text is no object.
func cutObject(text raw, o object) (_ object, twice []string, ok bool) {
	if o, ok = cutPlain(text, o[:0]); ok {
		return o, nil, true
	}
	o = o[:0]
	i := blank(text, 0)
	if i >= len(text) || text[i] != '{' || !json.Valid([]byte(text)) {
		return nil, nil, false
	}
	has := func(key string) bool { return o.of(key) != nil }
	for i = blank(text, i+1); text[i] != '}'; {
		end := valueEnd(text, i)
		key, _ := cutText(text[i:end])
		i = blank(text, blank(text, end)+1) // over the colon
		end = valueEnd(text, i)
		if len(o) == manyMembers {
			has = o.index()
		}
		if has(key) {
			twice = append(twice, key)
		} else {
			o = append(o, member{name: key, value: text[i:end]})
		}
		if i = blank(text, end); text[i] == ',' {
			i = blank(text, i+1)
		}
	}
	return o, twice, true
}

// cutPlain cuts an object in the form that Encode writes: no white space between its parts,
// few fields with plain names, none of them twice. It is false if text may be anything else.
func cutPlain(text raw, o object) (object, bool) {
	if len(text) < 2 || text[0] != '{' {
		return o, false
	}
	for i := 1; ; i++ {
		end := plainEnd(text, i, 0)
		if end < 0 || text[i] != '"' || end >= len(text) || text[end] != ':' || len(o) == manyMembers {
			return o, false
		}
		name, from := string(text[i+1:end-1]), end+1
		if i = plainEnd(text, from, 0); i < 0 || i >= len(text) || strings.IndexByte(name, '\\') >= 0 || o.of(name) != nil {
			return o, false
		}
		o = append(o, member{name: name, value: text[from:i]})
		switch {
		case text[i] == '}' && i == len(text)-1:
			return o, true
		case text[i] != ',':
			return o, false
		}
	}
}

// deepest is how deep a plain value is followed.
const deepest = 4

// plainEnd returns the end of the value that begins at i, -1 if it is not JSON without
// white space.
func plainEnd(b raw, i, depth int) int {
	if i >= len(b) || depth > deepest {
		return -1
	}
	switch c := b[i]; c {
	case '"':
		for i++; i < len(b) && b[i] != '"' && b[i] >= ' '; i++ {
			if b[i] == '\\' { // whatever it stands for, the general decoder reads it
				return -1
			}
		}
		if i >= len(b) || b[i] != '"' {
			return -1
		}
		return i + 1
	case '[', '{':
		return plainNest(b, i, depth)
	case 't':
		return plainWord(b, i, "true")
	case 'f':
		return plainWord(b, i, "false")
	case 'n':
		return plainWord(b, i, "null")
	}
	return plainNumber(b, i)
}

func plainWord(b raw, i int, word string) int {
	if strings.HasPrefix(string(b[i:]), word) {
		return i + len(word)
	}
	return -1
}

// plainNest returns the end of a list or an object.
func plainNest(b raw, i, depth int) int {
	closing := b[i] + 2 // ] after [, } after {
	for {
		i++
		if closing == '}' {
			if i >= len(b) || b[i] != '"' {
				return -1
			}
			if i = plainEnd(b, i, depth); i < 0 || i >= len(b) || b[i] != ':' {
				return -1
			}
			i++
		}
		if i = plainEnd(b, i, depth+1); i < 0 || i >= len(b) {
			return -1
		}
		if b[i] == closing {
			return i + 1
		}
		if b[i] != ',' {
			return -1
		}
	}
}

// plainNumber returns the end of a number as JSON has them, without an exponent.
func plainNumber(b raw, i int) int {
	if i < len(b) && b[i] == '-' {
		i++
	}
	whole := plainDigits(b, i)
	if whole == i || b[i] == '0' && whole > i+1 {
		return -1
	}
	i = whole
	if i < len(b) && b[i] == '.' {
		part := plainDigits(b, i+1)
		if part == i+1 {
			return -1
		}
		i = part
	}
	if i < len(b) && (b[i] == 'e' || b[i] == 'E') {
		return -1
	}
	return i
}

func plainDigits(b raw, i int) int {
	for i < len(b) && isDigit(b[i]) {
		i++
	}
	return i
}

// cutList cuts a JSON list, known to be valid, into its values; it is false if
// r is no list.
func cutList(r raw) ([]raw, bool) {
	i := blank(r, 0)
	if i >= len(r) || r[i] != '[' {
		return nil, false
	}
	list := []raw{}
	for i = blank(r, i+1); r[i] != ']'; {
		end := valueEnd(r, i)
		list = append(list, r[i:end])
		if i = blank(r, end); r[i] == ',' {
			i = blank(r, i+1)
		}
	}
	return list, true
}

// cutText returns the text of a JSON string, known to be valid; it is false if
// r is something else.
func cutText(r raw) (string, bool) {
	if len(r) < 2 || r[0] != '"' {
		return "", false
	}
	if strings.IndexByte(string(r), '\\') < 0 {
		return string(r[1 : len(r)-1]), true
	}
	var s string
	err := json.Unmarshal([]byte(r), &s)
	return s, err == nil
}

// blank returns the next place at or after i that is not white space.
func blank(b raw, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '\t' || b[i] == '\n' || b[i] == '\r') {
		i++
	}
	return i
}

// valueEnd returns the end of the value that begins at i in valid JSON.
func valueEnd(b raw, i int) int {
	switch b[i] {
	case '"':
		for i++; b[i] != '"'; i++ {
			if b[i] == '\\' {
				i++
			}
		}
		return i + 1
	case '{', '[':
		depth := 0
		for {
			switch b[i] {
			case '"':
				i = valueEnd(b, i)
				continue
			case '{', '[':
				depth++
			case '}', ']':
				if depth--; depth == 0 {
					return i + 1
				}
			}
			i++
		}
	}
	for i < len(b) && b[i] != ',' && b[i] != '}' && b[i] != ']' && b[i] > ' ' {
		i++
	}
	return i
}
