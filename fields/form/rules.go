package form

import (
	"fmt"
	"slices"
	"strings"

	"rimegate/fields"
)

// ruleSet holds what concerns several fields of one kind: before the texts are
// read, on the values, and on the entries made of them.
type ruleSet struct {
	before, after func(*Answers)
	entries       func(*Answers, []fields.Entry) []fields.Entry
}

var rules = map[fields.Kind]ruleSet{
	fields.KindNoFrost:  {before: (*Answers).whichNights, after: (*Answers).oneNight},
	fields.KindReading:  {before: (*Answers).thermometer},
	fields.KindForecast: {before: (*Answers).thermometer, after: (*Answers).issuedNow},
	fields.KindWalk:     {after: (*Answers).walked, entries: (*Answers).explain},
	fields.KindVet:      {after: (*Answers).mayGraze},
	fields.KindNitrogen: {after: (*Answers).rate},
	fields.KindDone:     {before: (*Answers).roundOrTask},
	fields.KindSplit:    {after: (*Answers).two},
	fields.KindJoin:     {after: (*Answers).two},
	fields.KindFarm:     {after: (*Answers).contacts},
	fields.KindHerd:     {before: (*Answers).headOf},
	Import:              {before: (*Answers).whereRead},
	fields.KindStrike:   {after: func(b *Answers) { b.values["on"] = b.today }},
}

// whichNights sees that a no-frost is said of one night, or of a first and a last.
func (b *Answers) whichNights() {
	night := b.k.Field("night")
	one, first, last := b.said["night"] != nil, b.said["from"] != nil, b.said["to"] != nil
	switch {
	case one && (first || last):
		b.wrong(night, "and --from/--to are both given", "give one night, or the first and the last")
	case b.Line && !b.Rows && !one && !first && !last:
		b.missing(night, fields.Problem{What: "is missing"})
	case b.Line && first != last:
		b.wrong(b.k.Field("from"), "and --to belong together", "give the first and the last night")
		b.bad["night"] = true
	}
}

func (b *Answers) oneNight() {
	if d, ok := b.values["night"]; ok {
		b.values["from"], b.values["to"] = d, d
	}
	if b.bad["night"] {
		b.bad["from"], b.bad["to"] = true, true
	}
	// On the command line paddocks are named, and the read-back counts them.
	if !b.Line && b.values["basis"] == "thermometer-in-paddock" && len(b.said["paddocks"]) > 1 {
		b.wrong(b.k.Field("paddocks"), "a thermometer hangs in one paddock", "pick that one, or say another basis")
	}
}

// thermometer sees that a reading or forecast is of a station or of paddocks.
// That one stood in the paddock is the strongest claim, and is never taken for
// said.
func (b *Answers) thermometer() {
	station, place := b.k.Field("station"), b.k.Field("paddock")
	inside := slices.Contains(b.said["station"], Inside)
	named := slices.DeleteFunc(slices.Clone(b.said["station"]), func(s string) bool { return s == Inside || s == "" })
	placed := len(b.said["paddock"]) > 0
	reading := b.k.Kind == fields.KindReading
	delete(b.said, "station")
	switch {
	case len(named) > 0 && b.Line && (inside || placed):
		hint := "it is about one of them"
		if reading {
			hint = "a station counts for every paddock that names it; leave out one of them"
		}
		b.wrong(station, "and a paddock are both named", hint)
	case len(named) > 0:
		b.said["station"] = named
		delete(b.said, "paddock")
		return
	case inside && !placed:
		b.missing(place, fields.Problem{What: "is missing", Type: "pick the paddock with Space"})
	case inside, placed && b.Line && !reading:
		return
	case b.Line && reading:
		hint := "name it with --station"
		if s := b.Farm.StationNames(); s != "" {
			hint = "type --station and one of " + s
		}
		b.wrong(station, "is missing: say which thermometer was read", hint+", or --in-paddock PADDOCK if it stood in the paddock itself, at plant height")
	case b.Line:
		b.wrong(station, "is missing", "name the station, or the paddock in which the thermometer stands")
	default:
		b.wrong(station, "is missing", "choose the thermometer that was read")
	}
	b.bad["station"], b.bad["paddock"] = true, true
	delete(b.said, "paddock")
}

// whereRead sees that a file is of a station, or of one paddock.
func (b *Answers) whereRead() {
	switch at := b.k.Field("paddock"); {
	case b.Has("paddock") && b.Has("station"):
		b.wrong(at, b.pick("and --station are both given", "a thermometer and a paddock are both chosen"),
			"a thermometer is a station, or it stands in one paddock")
	case !b.Has("paddock"):
		b.Need("station")
	}
	if !b.Line { // the command line names the file behind the flags
		b.Need("file")
	}
}

func (b *Answers) issuedNow() {
	if b.values["issued"] == nil && !b.Rows {
		b.values["issued"] = b.Now
	}
}

func (b *Answers) rate() {
	if b.Line && b.said["kg_n_ha"] != nil && b.values["rate_unknown"] == true {
		b.wrong(b.k.Field("kg_n_ha"), "and --rate-unknown are both given", "give one of them")
		b.bad["rate_unknown"] = true
	}
}

// mayGraze sees that good news is said of the classes the veterinarian spoke of, and
// not of all that an everyday word can mean.
func (b *Answers) mayGraze() {
	f := b.k.Field("classes")
	for _, t := range fields.SplitList(b.said[f.Name]) {
		if _, how := f.meant(t, b.Farm); how != "" && b.values["advice"] == string(fields.AdviceMayGraze) {
			b.wrong(f, fmt.Sprintf("%q can mean several kinds of stock", t),
				"may-graze is for the class the vet named: type one of "+strings.Join(f.Choices, ", "))
		}
	}
}

func (b *Answers) roundOrTask() {
	if b.Line && b.said["round"] != nil && b.said["task"] != nil {
		b.missing(b.k.Field("round"), fields.Problem{What: "is missing"})
	}
}

// two sees that land is split into two or more, or joined of as many.
func (b *Answers) two() {
	f := b.k.Field("into")
	if b.k.Kind == fields.KindJoin {
		f = b.k.Field("from")
	}
	if list, _ := b.values[f.Name].([]string); len(list) < 2 && !b.bad[f.Name] {
		b.missing(f, fields.Problem{What: "names fewer than two paddocks"})
	}
}

// headOf takes the head out of a herd in everyday words: 85 cows with calves.
func (b *Answers) headOf() {
	head, rest := fields.CutHead(strings.Join(b.said["classes"], ", "))
	if head == "" {
		return
	}
	b.said["classes"] = []string{rest}
	if b.said["head"] == nil {
		b.said["head"] = []string{head}
	} else if strings.TrimSpace(strings.Join(b.said["head"], " ")) != head {
		b.wrong(b.k.Field("head"), "is another number than that before the stock, "+head, "say how many there are once")
	}
}

func (b *Answers) contacts() {
	text := func(name string) string { s, _ := b.values[name].(string); return s }
	k := fields.Contacts{Manager: text("manager"), Backup: text("backup"), Vet: text("vet")}
	if k != (fields.Contacts{}) {
		b.values["contacts"] = &k
	}
}

// allPaddocks is the command line's word for every standing paddock.
const allPaddocks = "all"

// walked sees that what a walk found can be, and is said of land that somebody
// walked: what is good news of one paddock at a time.
func (b *Answers) walked() {
	w := &fields.Walk{}
	for name, v := range b.values {
		fields.Set(w, name, v)
	}
	if w.Killed == "all" && w.ShootsCM != nil && *w.ShootsCM > 0 {
		b.wrong(b.k.Field("killed"), b.pick("all, and yet there are shoots", "all are killed, and yet there are shoots"),
			b.pick("say --killed part if anything grows", "say part if anything grows"))
	}
	if cause := b.k.Field("cause"); b.said["cause"] != nil {
		switch {
		case b.said["damage_night"] != nil:
			b.wrong(cause, b.pick("and --damage-night are both given", "a night and another cause are both given"), "give one of them")
		case !w.FoundDamage() && len(b.problems) == 0:
			b.wrong(cause, b.pick("is given, but no damage", "a cause is given, but no damage"),
				b.pick("say what you found with --frost-damage or --killed", "say what you found under killed or frost damage"))
		}
	}
	if cause, _ := b.values["cause"].(string); b.said["cause_on"] != nil && harms[cause] == nil && !b.bad["cause"] {
		b.wrong(b.k.Field("cause_on"), "is the day of hail, spray or drought, and none of them is given",
			b.pick("say which with --cause", "choose which above"))
	}
	place, good := b.k.Field("paddock"), b.goodNews()
	if good == "" {
		return
	}
	typed := fields.SplitList(b.said["paddock"])
	for _, t := range typed {
		if strings.EqualFold(t, allPaddocks) {
			b.wrong(place, fmt.Sprintf("%q cannot be walked at once", t), "name the paddocks you walked")
			return
		}
	}
	if len(typed) > 1 {
		b.wrong(place, fmt.Sprintf("%q is good news, and good news is said of one paddock at a time", good),
			b.pick("name", "pick")+" the one you walked; damage may be said of several")
	}
}

// goodNews is what a walk says that nobody can say of several paddocks at once,
// "" where all of it is bad news.
func (b *Answers) goodNews() string {
	for i := range b.k.Fields {
		if f := &b.k.Fields[i]; isGood(f.Name, b.values[f.Name]) {
			return b.typed(f)
		}
	}
	return ""
}

// isGood reports good news in a field of a walk.
func isGood(name string, value any) bool {
	switch v := value.(type) {
	case string:
		return name == "killed" && v != "part" || name == "frost_damage" && (v == "none" || v == "unknown")
	case bool:
		return v != (name == "wilted") && name != "dry_run" && name != "as_said"
	case []string:
		return name != "alive" || len(v) == 0
	case float64:
		return true
	}
	return false
}

// typed is a field as it was said.
func (b *Answers) typed(f *Field) string {
	text := strings.Join(b.said[f.Name], ", ")
	for _, w := range f.Words {
		if b.Line && w.Text == text {
			return "--" + w.Flag
		}
	}
	return b.pick("--"+f.Flag, strings.TrimSpace(f.Label)) + " " + text
}

// harms are the kinds of entry behind other causes of damage.
var harms = map[string]func(paddocks []string) fields.Body{
	"hail":    func(p []string) fields.Body { return &fields.Hail{Paddocks: p} },
	"spray":   func(p []string) fields.Body { return &fields.Sprayed{Paddocks: p} },
	"drought": func(p []string) fields.Body { return &fields.Drought{Paddocks: p, State: "start"} },
}

// explain sees that damage found by a walk has a night or another cause, and
// adds the entry for a cause that nobody has logged yet.
func (b *Answers) explain(walks []fields.Entry) []fields.Entry {
	cause, _ := b.values["cause"].(string)
	day, said := b.values["cause_on"].(fields.Date)
	var hit []string
	for i := range walks {
		e := &walks[i]
		w := e.Body.(*fields.Walk)
		switch {
		case cause == "dont-know": // the longest wait
			w.DamageNight = e.On
		case cause == "ripe": // a note: it changes no flag
			e.Note = strings.TrimSuffix("ripe, not frost; "+e.Note, "; ")
		case cause != "":
			if said && (day > e.On || b.sownAfter(w, day, e.On)) {
				b.wrong(b.k.Field("cause_on"), day.Words()+" cannot have done the damage found in "+w.Paddock+" on "+e.On.Words(),
					"give a day from the sowing to the walk")
				return nil
			}
			if said || !b.Farm.HarmSince(w.Paddock, fields.KindOf(harms[cause](nil)), e.On) {
				hit = append(hit, w.Paddock)
			}
		case b.Farm.Unexplained(w.Paddock, w, e.On):
			b.unexplained(w)
			return nil
		}
	}
	if len(hit) == 0 {
		return walks
	}
	e := fields.Entry{On: walks[0].On, Body: harms[cause](hit)}
	if said {
		e.On = day
	}
	return append(walks, e)
}

// sownAfter reports that what grows in a walk's paddock was sown on a day or later.
func (b *Answers) sownAfter(w *fields.Walk, day, on fields.Date) bool {
	x := *w
	x.DamageNight = day
	return b.Farm.Unexplained(w.Paddock, &x, on)
}

// unexplained asks for what did the damage that a walk found.
func (b *Answers) unexplained(w *fields.Walk) {
	f := b.k.Field("damage_night")
	if w.DamageNight != fields.NoDate {
		b.wrong(f, fmt.Sprintf("%s is before what grows in %s was sown", w.DamageNight.Words(), w.Paddock), "check the day and its year")
		return
	}
	b.wrong(f, fmt.Sprintf("you found damage in %s that no recorded night explains", w.Paddock),
		b.pick("say --damage-night DAY if you know the night, else --cause hail, spray, drought, ripe or dont-know",
			"say which night did it, or choose another cause below"))
	if b.Line && !b.Rows {
		b.problems[len(b.problems)-1].Field = ""
	}
}
