package fields

import (
	"bytes"
	"encoding/json"
)

// The fast way through journal text. A journal of decades is decoded on every
// start, and the general decoder takes most of that time to find out where
// values begin and end. These functions only cut text that json.Valid passed:
// tests hold them against the general decoder.

// cutObject cuts a JSON object into its fields, in order, and names those that
// are given twice. The map is nil if text is no object.
func cutObject(text []byte) (raw map[string]json.RawMessage, order, twice []string) {
	i := blank(text, 0)
	if i >= len(text) || text[i] != '{' || !json.Valid(text) {
		return nil, nil, nil
	}
	raw = make(map[string]json.RawMessage, 16)
	order = make([]string, 0, 16)
	for i = blank(text, i+1); text[i] != '}'; {
		end := valueEnd(text, i)
		key, _ := cutText(text[i:end])
		i = blank(text, blank(text, end)+1) // over the colon
		end = valueEnd(text, i)
		if _, ok := raw[key]; ok {
			twice = append(twice, key)
		} else {
			raw[key] = text[i:end:end]
			order = append(order, key)
		}
		if i = blank(text, end); text[i] == ',' {
			i = blank(text, i+1)
		}
	}
	return raw, order, twice
}

// cutList cuts a JSON list, known to be valid, into its values; it is false if
// r is no list.
func cutList(r json.RawMessage) ([]json.RawMessage, bool) {
	i := blank(r, 0)
	if i >= len(r) || r[i] != '[' {
		return nil, false
	}
	list := []json.RawMessage{}
	for i = blank(r, i+1); r[i] != ']'; {
		end := valueEnd(r, i)
		list = append(list, r[i:end:end])
		if i = blank(r, end); r[i] == ',' {
			i = blank(r, i+1)
		}
	}
	return list, true
}

// cutText returns the text of a JSON string, known to be valid; it is false if
// r is something else.
func cutText(r json.RawMessage) (string, bool) {
	if len(r) < 2 || r[0] != '"' {
		return "", false
	}
	if bytes.IndexByte(r, '\\') < 0 {
		return string(r[1 : len(r)-1]), true
	}
	var s string
	err := json.Unmarshal(r, &s)
	return s, err == nil
}

// blank returns the next place at or after i that is not white space.
func blank(b []byte, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '\t' || b[i] == '\n' || b[i] == '\r') {
		i++
	}
	return i
}

// valueEnd returns the end of the value that begins at i in valid JSON.
func valueEnd(b []byte, i int) int {
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
