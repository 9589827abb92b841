// Package form is the one place that knows what a person can say of each kind
// of entry, and the one builder that makes entries of what was typed.
//
// The table stands in forms.txt and is read once. Its command-line side (flags,
// help, examples) and its screen side (title, label, hint, choices) are of the
// same fields, named as in the journal; required ones, choices and short names
// come from the tags of the body types in package fields. A few fields are read
// by the builder alone: on and note are the entry's own, a walk's cause and
// cause_on explain damage, no-frost's night is both its first and its last.
//
// In forms.txt a `field` before the first `kind` is described for every kind
// that lists it under `fields`; inside a kind it changes that description. The
// words of a field:
//
//	type     text (if none is given), choice, exact (a choice without a guess),
//	         yesno, flag (of the command line alone), date, ahead (a date to come), moment, quantity MEASURE, count,
//	         number, figure, figures, list [of what], classes (of stock, in
//	         everyday words too; classes herd: or by a herd's name), species (a list
//	         that is asked about), mix, name OF, new THING, rule, watch, zone; of paddocks:
//	         places (one entry for all), each (an entry for each), one; each lot: of lots
//	use      the flag's sentence in the help; without it there is no such flag
//	flag     its name, where it is not the field's own
//	word     FLAG TEXT SENTENCE: a flag that says TEXT in the field
//	label    as screens show it; hint: what to type there; why: why it is asked
//	         while a farm is set up
//	choices  the words in order, where the tags have another; shown: one's words
//	default  what an unsaid field means, and what a screen shows typed
//	preset   what a screen shows typed, and the command line asks for
//	none     words that say: looked, and there is none
//	apart    screens ask it of each paddock, where several are picked
//	missing  what the command line says when it is missing
//
// and of a kind: title, says, menu (what the menu says instead), args, fields,
// start (what is asked while a farm is set up) and lead (what is said before that),
// first (has the cursor), named (screens do not take all paddocks at one key), one
// (why not of several). The flags as_said, as_printed and as_read are the answers to
// what is asked about; screens ask by Stands.
//
// A screen shows the Fields with a Label, prefills Default or Preset, and hands
// what was typed to Entries under the fields' names, ids of picked paddocks under
// the field whose type is places, each or one; lots are typed. Each Problem names its Field.
// Line asks for the command line's sentences, with flags as the problem's field.
package form
