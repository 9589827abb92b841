package form

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/lazy"
)

type reader func(b *Answers, f *Field, texts []string) (any, error)

// readers are the types of fields, apart from where the entry is said of.
var readers = map[Type]reader{
	"text":   func(_ *Answers, _ *Field, texts []string) (any, error) { return texts[0], nil },
	File:     func(_ *Answers, _ *Field, texts []string) (any, error) { return texts[0], nil },
	"number": func(_ *Answers, _ *Field, texts []string) (any, error) { return fields.ParseNumber(texts[0]) },
	Count:    func(_ *Answers, _ *Field, texts []string) (any, error) { return fields.ParseCount(texts[0]) },
	YesNo:    yesNo,
	Places:   func(b *Answers, _ *Field, texts []string) (any, error) { return b.Farm.Paddocks(texts) },
	Choice:   func(_ *Answers, f *Field, texts []string) (any, error) { return choice(f, texts[0]) },
	Exact:    func(_ *Answers, f *Field, texts []string) (any, error) { return choice(f, texts[0]) },
	Date:     date,
	Ahead:    func(b *Answers, _ *Field, texts []string) (any, error) { return b.day(texts[0], fields.ParseComing) },
	Moment:   func(b *Answers, _ *Field, texts []string) (any, error) { return b.moment(texts[0]) },
	Quantity: quantity,
	"figure": figure,
	Figures:  figures,
	Name:     func(b *Answers, f *Field, texts []string) (any, error) { return b.named(f.Of, texts[0]) },
	List:     list,
	Classes:  classes,
	Species:  species,
	Mix:      mix,
	Texts:    func(_ *Answers, _ *Field, texts []string) (any, error) { return texts, nil },
	Flag:     func(_ *Answers, _ *Field, _ []string) (any, error) { return true, nil },
	"day":    func(b *Answers, _ *Field, texts []string) (any, error) { return b.day(texts[0], nearest) },
	Rule:     rule,
	"watch":  watch,
	"zone":   func(_ *Answers, _ *Field, texts []string) (any, error) { return ParseZone(texts[0]) },
}

// yesNo takes nothing but the two words for an answer, or their first letter.
func yesNo(_ *Answers, _ *Field, texts []string) (any, error) {
	switch strings.ToLower(texts[0]) {
	case "yes", "y":
		return true, nil
	case "no", "n":
		return false, nil
	}
	return nil, fields.Problem{What: fmt.Sprintf("%q is neither yes nor no", texts[0]), Type: "type yes or no"}
}

// choice reads one of the words allowed, with or without its hyphens. An exact
// one is a word of a report such as NO3 or mg/L, where the one that looks alike
// is another number: none is proposed.
func choice(f *Field, text string) (string, error) {
	bare := strings.NewReplacer("-", "", "_", "", " ", "")
	for _, w := range f.Choices {
		if strings.EqualFold(bare.Replace(w), bare.Replace(text)) {
			return w, nil
		}
	}
	all := strings.Join(f.Choices, ", ")
	hint := "type one of " + all
	if f.Type == Exact {
		hint = "look at the report and " + hint
	} else if c := Closest(text, f.Choices); c != "" {
		hint = "did you mean " + c + "? It can be " + all
	}
	return "", fields.Problem{What: fmt.Sprintf("%q is not one of them", text), Type: hint}
}

// inDoubt refuses what counts from today while nobody knows what today is.
func (b *Answers) inDoubt(text string) error {
	if b.Rows {
		return fields.Problem{What: fmt.Sprintf("%q counts from the day on which it is read", text), Type: "type the day in full, like 17-Sep-2026"}
	}
	why := b.pick(fmt.Sprintf("%q counts from today, and today is in doubt: ", text), "today is in doubt: ")
	return fields.Problem{What: why + b.Behind, Type: "set the clock right, or type the day in full, like 17-Sep-2026"}
}

func (b *Answers) day(text string, parse func(string, fields.Date) (fields.Date, error)) (fields.Date, error) {
	d, err := parse(text, b.today)
	if err == nil && (b.Behind != "" || b.Rows) && fields.IsRelative(text) {
		err = b.inDoubt(text)
	}
	return d, err
}

func date(b *Answers, _ *Field, texts []string) (any, error) {
	if b.Context.Ahead {
		return b.day(texts[0], nearest)
	}
	return b.day(texts[0], fields.ParseDate)
}

// nearest reads the day a question is about: a day without a year is the nearest
// one, behind or ahead.
func nearest(text string, today fields.Date) (fields.Date, error) {
	past, err := fields.ParseDate(text, today)
	next, err2 := fields.ParseComing(text, today)
	if err2 == nil && next > today && (err != nil || next.Sub(today) < today.Sub(past)) {
		return next, nil
	}
	return past, err
}

func (b *Answers) moment(text string) (time.Time, error) {
	loc := b.Now.Location()
	t, err := fields.ParseMoment(text, b.today, loc)
	if err != nil || b.Behind == "" && !b.Rows {
		return t, err
	}
	if u, err := fields.ParseMoment(text, b.today+1, loc); err != nil || !u.Equal(t) {
		return t, b.inDoubt(text)
	}
	return t, nil
}

func quantity(b *Answers, f *Field, texts []string) (any, error) {
	if f.isNone(texts[0]) {
		return 0.0, nil
	}
	return f.Measure.ParseIn(texts[0], unitsOf(b.Farm))
}

// unitsOf is the system of units of a farm that has said one.
func unitsOf(farm Farm) string {
	if f, ok := farm.(interface{ UnitSystem() string }); ok {
		return f.UnitSystem()
	}
	return ""
}

// asks asks about a text once: a person who was asked may stand by it.
func (b *Answers) asks(text string) bool { return b.Stands == nil || !b.Stands(text) }

// point asks about a figure such as 3.000, of which nobody can tell what its
// point is, unless its unit is one of small figures.
func (b *Answers) point(text string) error {
	if u := b.said["unit"]; len(u) > 0 && (u[0] == "%" || u[0] == "g/kg") {
		return nil
	}
	if !fields.ThousandsPoint(text) || !b.asks(text) {
		return nil
	}
	return fields.Problem{
		What: fmt.Sprintf("%q has three digits behind a point, which parts thousands in some countries", text),
		Type: b.pick("type thousands without a sign (3000), or add --as-printed if the point is a decimal one",
			"type thousands without a sign (3000); Enter again if the point is a decimal one"),
	}
}

func figure(b *Answers, _ *Field, texts []string) (any, error) {
	v, err := fields.ParseNumber(texts[0])
	if err == nil {
		err = b.point(texts[0])
	}
	return v, err
}

// figures reads the numbers of a report, each text by itself: "3,000" is no 3.
func figures(b *Answers, _ *Field, texts []string) (any, error) {
	var out []fields.Value
	for _, t := range texts {
		vs, err := fields.ParseFigures(t)
		if err != nil {
			return nil, fields.Problem{What: err.Error(), Type: b.pick("its unit goes behind --unit", "")}
		}
		if err := b.point(t); err != nil {
			return nil, err
		}
		out = append(out, vs...)
	}
	return out, nil
}

// named resolves the name of a thing of the farm.
func (b *Answers) named(of, text string) (string, error) {
	switch of {
	case "paddock":
		return b.Farm.Paddock(text)
	case "station":
		return b.Farm.Station(text)
	case "herd":
		return b.Farm.Herd(text)
	case "lot":
		return b.Farm.Lot(text)
	case "place":
		return b.Farm.(interface{ PaddockOrLot(string) (string, error) }).PaddockOrLot(text)
	}
	return text, nil
}

// list reads several words: names of the farm, some of the choices, or any.
func list(b *Answers, f *Field, texts []string) (any, error) {
	items := fields.SplitList(texts)
	for i, t := range items {
		if len(f.Choices) > 0 && !slices.Contains(f.Choices, t) {
			return nil, fields.Problem{What: fmt.Sprintf("%q is no %s", t, f.Of), Type: "type one of " + strings.Join(f.Choices, ", ")}
		}
		id, err := b.named(f.Of, t)
		if err != nil {
			return nil, err
		}
		items[i] = id
	}
	return items, nil
}

// classes reads classes of stock by their own words, by everyday ones, and where the
// field says so by the name of a herd.
func classes(b *Answers, f *Field, texts []string) (any, error) {
	said := map[string]bool{}
	for _, t := range fields.SplitList(texts) {
		meant, _ := f.meant(t, b.Farm)
		if meant == nil {
			hint := "type one of " + strings.Join(f.Choices, ", ") + ", or a word like cows, calves or ewes"
			return nil, fields.Problem{What: fmt.Sprintf("%q is no class of stock", t), Type: hint}
		}
		for _, c := range meant {
			said[c] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(f.Choices), func(c string) bool { return !said[c] }), nil
}

// meant are the classes that a word means: its own, a herd's, or all that an everyday
// word can mean. how says so where the word is no class itself.
func (f *Field) meant(word string, farm Farm) (classes []string, how string) {
	i := slices.IndexFunc(f.Choices, func(c string) bool { return strings.EqualFold(c, word) })
	if i >= 0 {
		return f.Choices[i : i+1], ""
	}
	if herds, ok := farm.(interface{ HerdClasses(string) []string }); ok && f.Of == "herd" {
		if classes = herds.HerdClasses(word); classes != nil {
			for _, c := range fields.ClassesMeant(word) { // what is logged of a herd called "cows" is of all cows
				if f.Name == "classes" && !slices.Contains(classes, c) {
					classes = append(slices.Clone(classes), c)
				}
			}
			return classes, fmt.Sprintf("%q is the herd: %s", word, strings.Join(classes, ", "))
		}
	}
	classes = fields.ClassesMeant(word)
	switch {
	case len(classes) == 1:
		how = fmt.Sprintf("%q is taken as %s", word, classes[0])
	case len(classes) > 1:
		how = fmt.Sprintf("%q is taken as all it can mean: %s", word, strings.Join(classes, ", "))
	}
	return classes, how
}

// Taken says what words for stock were taken for.
func (b *Answers) Taken() (says []string) {
	for i := range b.k.Fields {
		if f := &b.k.Fields[i]; f.Type == Classes {
			says = append(says, f.taken(b.said[f.Name], b.Farm)...)
		}
	}
	return says
}

func (f *Field) taken(texts []string, farm Farm) (says []string) {
	for _, t := range fields.SplitList(texts) {
		_, t = fields.CutHead(t) // of a herd in everyday words
		if _, how := f.meant(t, farm); how != "" {
			says = append(says, how)
		}
	}
	return says
}

// species reads names of plants. Where the farm says so, an everyday name that
// fits several is asked about once; after that the worst of them counts.
// andWord stands between plants as people write them: no plant has it in its name.
var andWord = lazy.Regexp(`(?i)\s+and\s+|\s*&\s*|\s*\+\s*`)

// plants are the items of a list of plants: "oats and turnips" are two.
func plants(texts []string) []string {
	var out []string
	for _, t := range texts {
		if !strings.Contains(t, "(") { // "Beet (sugar and fodder beet)" is one
			t = andWord().ReplaceAllString(t, ",")
		}
		out = append(out, t)
	}
	return fields.SplitList(out)
}

func species(b *Answers, f *Field, texts []string) (any, error) {
	if f.isNone(texts[0]) {
		return []string{}, nil
	}
	names := plants(texts)
	return names, b.whichPlant(names)
}

func mix(b *Answers, f *Field, texts []string) (any, error) {
	out := []fields.SpeciesShare{}
	if f.isNone(texts[0]) {
		return out, nil
	}
	var names []string
	for _, t := range plants(texts) {
		x, err := fields.ParseShare(t)
		if err != nil {
			return nil, err
		}
		out, names = append(out, x), append(names, x.Species)
	}
	return out, b.whichPlant(names)
}

// whichPlant asks on screens; the command line is asked when the entry is stored.
func (b *Answers) whichPlant(names []string) error {
	if b.Line {
		return nil
	}
	for _, n := range names {
		if fits := b.Farm.Fits(n); len(fits) > 1 && b.asks(n) {
			last := len(fits) - 1
			return fmt.Errorf("%q can be %s or %s. Type which; Enter again if nobody knows, and the worst of them counts",
				n, strings.Join(fits[:last], ", "), fits[last])
		}
	}
	return nil
}

// rule reads a rule's value: a number, or the word of a table.
func rule(_ *Answers, _ *Field, texts []string) (any, error) {
	if n, err := fields.ParseNumber(texts[0]); err == nil {
		return &fields.RuleValue{Number: &n}, nil
	}
	return &fields.RuleValue{Word: texts[0]}, nil
}

// watch reads MM-DD..MM-DD or all-year.
func watch(_ *Answers, _ *Field, texts []string) (any, error) {
	s := texts[0]
	if s == "all-year" {
		s = "01-01..12-31"
	}
	from, to, ok := strings.Cut(s, "..")
	a, err1 := fields.ParseMonthDay(strings.TrimSpace(from))
	b, err2 := fields.ParseMonthDay(strings.TrimSpace(to))
	if !ok || err1 != nil || err2 != nil {
		return nil, fields.Problem{
			What: fmt.Sprintf("%q is not two days of the year", texts[0]),
			Type: "type month and day of the first and last night, like 08-15..06-15, or all-year",
		}
	}
	return &fields.Watch{From: a, To: b}, nil
}

// Closest returns the name that is nearest to a mistyped word, "" if none is
// near.
func Closest(word string, names []string) string {
	best, bestD := "", 3
	word = strings.ToLower(word)
	for _, n := range names {
		low := strings.ToLower(n)
		d := Distance(word, low)
		if len(word) >= 3 && strings.HasPrefix(low, word) {
			d = 1
		}
		if d < bestD && d < len(word) {
			best, bestD = n, d
		}
	}
	return best
}

// Distance is the number of letters to add, drop, change or swap with their
// neighbour to make one word of the other (optimal string alignment).
func Distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, last := make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		now := make([]int, len(y)+1)
		now[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			now[j] = min(last[j]+1, now[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				now[j] = min(now[j], before[j-2]+1)
			}
		}
		before, last = last, now
	}
	return last[len(y)]
}
