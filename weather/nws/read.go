// Package nws reads GeoJSON of the United States National Weather Service,
// api.weather.gov: the observations of a station (last night), and the gridpoint
// forecast (tonight). Forecast lows are returned as forecasts and never as
// readings.
//
// Format: NWS, "API Web Service",
// https://www.weather.gov/documentation/services-web-api . Values carry their unit;
// a null is "no value" and is common. Times are UTC. Quality letters are those of
// MADIS: X failed and Q questioned are left out (letters from memory). Data: open,
// free for any purpose.
package nws

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/report"
	"rimegate/weather/internal/rows"
	"rimegate/weather/internal/table"
)

// Names of the two formats.
const (
	ObservationsName = "NWS observations"
	ForecastName     = "NWS gridpoint forecast"
)

// Options tells what the file itself does not say.
type Options = weather.Options

// maxBytes bounds a file: 500 observations, the most one answer holds, are 2 MB.
const maxBytes = 64 << 20

// Read reads a whole answer of either kind.
func Read(r io.Reader, opt Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Stream(r, opt, s) })
}

type quantity struct {
	UnitCode string   `json:"unitCode"`
	Uom      string   `json:"uom"`
	Value    *float64 `json:"value"`
	QC       string   `json:"qualityControl"`
}

type series struct {
	Uom      string `json:"uom"`
	UnitCode string `json:"unitCode"`
	Values   []struct {
		ValidTime string   `json:"validTime"`
		Value     *float64 `json:"value"`
	} `json:"values"`
}

type observation struct {
	Station   string   `json:"station"`
	StationID string   `json:"stationId"`
	Name      string   `json:"stationName"`
	Timestamp string   `json:"timestamp"`
	Raw       string   `json:"rawMessage"`
	Temp      quantity `json:"temperature"`
	Dew       quantity `json:"dewpoint"`
	Wind      quantity `json:"windSpeed"`
	Min24     quantity `json:"minTemperatureLast24Hours"`
}

type grid struct {
	UpdateTime string  `json:"updateTime"`
	GridID     string  `json:"gridId"`
	GridX      any     `json:"gridX"`
	GridY      any     `json:"gridY"`
	Min        *series `json:"minTemperature"`
	Temp       *series `json:"temperature"`
}

type reader struct {
	res   *weather.Result
	sink  weather.Sink
	opt   Options
	pick  *rows.Pick
	bad   table.Flagged
	n     int // features read
	raw   int // readings taken from the raw report
	units map[string]bool
}

type limited struct {
	r    io.Reader
	left int64
}

var errTooBig = errors.New("the file is larger than 64 MB")

func (l *limited) Read(b []byte) (int, error) {
	if l.left <= 0 {
		return 0, errTooBig
	}
	if int64(len(b)) > l.left {
		b = b[:l.left]
	}
	n, err := l.r.Read(b)
	l.left -= int64(n)
	return n, err
}

// Stream reads an answer feature by feature into the sink.
func Stream(r io.Reader, opt Options, sink weather.Sink) (*weather.Result, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	p := &reader{
		res: &weather.Result{Format: ObservationsName}, sink: sink, opt: opt,
		pick: rows.NewPick(opt.Station), units: map[string]bool{},
	}
	if err := p.read(json.NewDecoder(&limited{skipBOM(r), maxBytes})); err != nil {
		return nil, plain(err)
	}
	if what := p.pick.Problem(weather.Quote); what != "" {
		return nil, table.Refuse(0, what, "say which one to read")
	}
	if err := table.Finish(p.res, 0); err != nil {
		return nil, err
	}
	p.bad.Note(p.res)
	p.res.Unit = "degrees Celsius, as each value says"
	if p.units["F"] {
		p.res.Unit = "degrees Fahrenheit, as each value says"
	}
	if p.raw > 0 {
		p.res.Note(weather.Count(p.raw, "reading") + " from the raw report, the decoded value being empty")
	}
	if opt.Unit != "" {
		p.res.Note("the unit you gave was not used: each value names its own")
	}
	return p.res, nil
}

// skipBOM passes over a byte order mark.
func skipBOM(r io.Reader) io.Reader {
	var head [3]byte
	n, err := io.ReadFull(r, head[:])
	rest := r
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && err != io.EOF {
		rest = failing{err}
	}
	if n == 3 && bytes.Equal(head[:], []byte("\xef\xbb\xbf")) {
		n = 0
	}
	return io.MultiReader(bytes.NewReader(head[:n]), rest)
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// plain turns errors of the decoder into a sentence.
func plain(err error) error {
	var syn *json.SyntaxError
	var typ *json.UnmarshalTypeError
	var prob fields.Problem
	switch {
	case errors.As(err, &prob):
		return err
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return table.Refuse(0, "the JSON ends in the middle", "check that the whole file was saved")
	case errors.Is(err, errTooBig):
		return table.Refuse(0, errTooBig.Error(), "ask for fewer observations at a time")
	case errors.As(err, &syn):
		return table.Refuse(0, fmt.Sprintf("it is not JSON: byte %d cannot stand there", syn.Offset), "save the answer of api.weather.gov as it is")
	case errors.As(err, &typ):
		return table.Refuse(0, fmt.Sprintf("the field %s holds a %s where the format has something else", weather.Quote(typ.Field), weather.Clean(typ.Value, 20)), "save the answer of api.weather.gov as it is")
	}
	return table.Refuse(0, "the file could not be read: "+weather.Clean(err.Error(), 80), "")
}

// read walks the top-level object, so that a long list of features is never
// held whole.
func (p *reader) read(d *json.Decoder) error {
	t, err := d.Token()
	if err != nil {
		return err
	}
	if t != json.Delim('{') {
		return table.Refuse(0, "the JSON is not an object", "save the answer of api.weather.gov as it is")
	}
	known := false
	for d.More() {
		k, err := d.Token()
		if err != nil {
			return err
		}
		switch key, _ := k.(string); key {
		case "features", "@graph":
			known = true
			if err := p.list(d, key == "features"); err != nil {
				return err
			}
		case "properties":
			known = true
			var raw json.RawMessage
			if err := d.Decode(&raw); err != nil {
				return err
			}
			if err := p.properties(raw); err != nil {
				return err
			}
		case "status", "title", "detail":
			var v any
			if err := d.Decode(&v); err != nil {
				return err
			}
			if s, ok := v.(string); ok && key == "detail" {
				return table.Refuse(0, "the service answered with an error: "+weather.Clean(s, 100), "ask again later")
			}
		default:
			if err := skip(d); err != nil {
				return err
			}
		}
	}
	if _, err := d.Token(); err != nil {
		return err
	}
	if !known {
		return table.Refuse(0, "the JSON has neither features nor properties", "save the answer of api.weather.gov as it is")
	}
	return nil
}

// skip passes over one value without keeping it.
func skip(d *json.Decoder) error {
	depth := 0
	for {
		t, err := d.Token()
		if err != nil {
			return err
		}
		switch t {
		case json.Delim('{'), json.Delim('['):
			depth++
		case json.Delim('}'), json.Delim(']'):
			depth--
		}
		if depth == 0 {
			return nil
		}
	}
}

func (p *reader) list(d *json.Decoder, wrapped bool) error {
	t, err := d.Token()
	if err != nil {
		return err
	}
	if t != json.Delim('[') {
		return table.Refuse(0, "the features are not a list", "save the answer of api.weather.gov as it is")
	}
	for d.More() {
		var o observation
		var err error
		if wrapped {
			var f struct {
				Properties *observation `json:"properties"`
			}
			if err = d.Decode(&f); f.Properties != nil {
				o = *f.Properties
			}
		} else {
			err = d.Decode(&o)
		}
		p.n++
		var typ *json.UnmarshalTypeError
		if errors.As(err, &typ) { // one odd feature does not spoil the others
			p.res.Read++
			p.res.Reject(p.n, fmt.Sprintf("observation %d: the field %s holds a %s", p.n, weather.Quote(typ.Field), weather.Clean(typ.Value, 20)))
			continue
		}
		if err != nil {
			return err
		}
		p.observe(&o)
	}
	_, err = d.Token()
	return err
}

// properties reads a single observation or a gridpoint forecast.
func (p *reader) properties(raw json.RawMessage) error {
	var kind struct {
		Min       json.RawMessage `json:"minTemperature"`
		GridID    string          `json:"gridId"`
		Timestamp string          `json:"timestamp"`
		Periods   json.RawMessage `json:"periods"`
	}
	if err := json.Unmarshal(raw, &kind); err != nil {
		return err
	}
	switch {
	case len(kind.Min) > 0 || kind.GridID != "" && kind.Timestamp == "" && len(kind.Periods) == 0:
		var g grid
		if err := json.Unmarshal(raw, &g); err != nil {
			return err
		}
		return p.forecast(&g)
	case kind.Timestamp != "":
		var o observation
		if err := json.Unmarshal(raw, &o); err != nil {
			return err
		}
		p.n++
		p.observe(&o)
		return nil
	case len(kind.Periods) > 0:
		return table.Refuse(0, "this is the forecast in periods, whose lows are rounded", "take the gridpoint forecast (forecastGridData) instead")
	}
	return table.Refuse(0, "the JSON holds neither observations nor a gridpoint forecast", "save the answer of api.weather.gov as it is")
}

// celsius converts a value by its unit code, such as wmoUnit:degC. why is not
// empty if the unit is not known.
func (p *reader) celsius(v float64, code string) (float64, string) {
	_, u, ok := strings.Cut(code, ":")
	if !ok {
		u = code
	}
	switch u {
	case "degC":
		p.units["C"] = true
		return v, ""
	case "degF":
		p.units["F"] = true
		return weather.FtoC(v), ""
	case "K":
		return v - 273.15, ""
	case "":
		return 0, "the value does not say its unit"
	}
	return 0, weather.Quote(code) + " is not a unit of temperature"
}

// failed reports whether a quality letter bars a value.
func failed(qc string) bool { return qc == "X" || qc == "Q" }

func (p *reader) observe(o *observation) {
	p.res.Read++
	id := o.StationID
	if id == "" {
		id = o.Station[strings.LastIndexByte(o.Station, '/')+1:]
	}
	keep, forget := p.pick.Take([]byte(id))
	if forget {
		p.res.Skipped += p.res.Kept + p.res.Rejected + p.res.Missing
		p.res.Kept, p.res.Rejected, p.res.Missing, p.res.Rejects = 0, 0, 0, nil
		p.bad, p.raw = table.Flagged{}, 0
		p.res.Station = ""
		p.sink.Forget()
	}
	if !keep {
		p.res.Skipped++
		return
	}
	if p.res.Station == "" {
		p.res.Station = weather.Clean(strings.TrimSpace(id+" "+o.Name), 60)
	}
	reject := func(what string) { p.res.Reject(p.n, fmt.Sprintf("observation %d: %s", p.n, what)) }
	s, ok := rows.ParseStamp([]byte(o.Timestamp))
	if !ok || !s.HasDate || !s.HasTime || s.InNumbers || s.Zone != rows.ZoneOffset {
		reject(weather.Quote(o.Timestamp) + " is not an instant with its zone")
		return
	}
	at := time.Unix(rows.Days(s.Y, s.M, s.D)*86400+int64(s.Sec)-int64(s.Off), 0).UTC()
	out := weather.Observation{At: at}
	var remarks report.Report
	if o.Raw != "" && len(o.Raw) < 4096 {
		remarks = report.Parse([]byte(o.Raw))
	}
	switch {
	case o.Temp.Value != nil:
		c, why := p.celsius(*o.Temp.Value, o.Temp.UnitCode+o.Temp.Uom)
		switch {
		case why != "":
			reject(why)
			return
		case !weather.Possible(c):
			reject(fmt.Sprintf("%.1f °C is no possible air temperature", c))
			return
		case failed(o.Temp.QC):
			p.bad.Add(c)
			reject("failed the source's quality check " + weather.Quote(o.Temp.QC))
			return
		}
		out.TempC, out.HasTemp = round(c), true
	case remarks.Recognised && !remarks.Contradictory && (remarks.HasTemp || remarks.Below):
		out.TempC, out.HasTemp = remarks.TempC, remarks.HasTemp
		if remarks.Below {
			yes := true
			out.BelowZero = &yes
		}
		p.raw++
	}
	if v := o.Dew.Value; v != nil && !failed(o.Dew.QC) {
		if c, why := p.celsius(*v, o.Dew.UnitCode+o.Dew.Uom); why == "" && weather.Possible(c) {
			out.DewC = &c
		}
	}
	if v := o.Wind.Value; v != nil && !failed(o.Wind.QC) {
		if ms, ok := speed(*v, o.Wind.UnitCode+o.Wind.Uom); ok {
			out.WindMS = &ms
		}
	}
	spells := p.spells(o, &remarks, at)
	if !out.HasTemp && out.BelowZero == nil && len(spells) == 0 {
		p.res.Missing++
		return
	}
	p.res.Kept++
	if out.HasTemp || out.BelowZero != nil {
		p.sink.Emit(out)
	}
	for _, x := range spells {
		p.sink.EmitSpell(x)
	}
}

// spells collects the minima over hours that an observation carries.
func (p *reader) spells(o *observation, remarks *report.Report, at time.Time) []weather.Spell {
	var out []weather.Spell
	add := func(c float64, hours int, what string) {
		if weather.Possible(c) {
			out = append(out, weather.Spell{From: at.Add(-time.Duration(hours) * time.Hour), To: at, MinC: round(c), What: what})
		}
	}
	if remarks.Recognised && !remarks.Contradictory {
		if remarks.Min6 != nil {
			add(*remarks.Min6, 6, "6-hour minimum")
		}
		if remarks.Min24 != nil {
			add(*remarks.Min24, 24, "24-hour minimum")
		}
	}
	if v := o.Min24.Value; v != nil && !failed(o.Min24.QC) {
		if c, why := p.celsius(*v, o.Min24.UnitCode+o.Min24.Uom); why == "" {
			add(c, 24, "minimum of the last 24 hours")
		}
	}
	return out
}

// round takes off the tail that unit conversion leaves.
func round(c float64) float64 { return math.Round(c*1e4) / 1e4 }

func speed(v float64, code string) (float64, bool) {
	_, u, ok := strings.Cut(code, ":")
	if !ok {
		u = code
	}
	switch u {
	case "km_h-1":
		v /= 3.6
	case "m_s-1":
	default:
		return 0, false
	}
	return v, v >= 0 && v < 120
}

// maxEntry bounds the validity of one forecast entry.
const maxEntry = 15 * 24 * time.Hour

func (p *reader) forecast(g *grid) error {
	p.res.Format = ForecastName
	if g.GridID != "" {
		p.res.Station = weather.Clean(fmt.Sprintf("%s %v,%v", g.GridID, g.GridX, g.GridY), 60)
	}
	issued := p.opt.Received
	if g.UpdateTime != "" {
		t, err := time.Parse(time.RFC3339, g.UpdateTime)
		if err != nil {
			return table.Refuse(0, "updateTime "+weather.Quote(g.UpdateTime)+" is not an instant", "save the answer of api.weather.gov as it is")
		}
		issued = t
	}
	if issued.IsZero() {
		return table.Refuse(0, "the forecast does not say when it was made", "say when it was received")
	}
	lows := map[fields.Date]float64{}
	put := func(d fields.Date, c float64) {
		if was, ok := lows[d]; !ok || c < was {
			lows[d] = c
		}
	}
	err := p.entries(g.Min, "minTemperature", func(from, to time.Time, c float64) {
		d := weather.NightOfSpan(from, to, p.opt.Loc)
		put(d, c)
	})
	if err != nil {
		return err
	}
	// An entry of the hourly series may stand for several hours.
	err = p.entries(g.Temp, "temperature", func(from, to time.Time, c float64) {
		for d, last := fields.NightOf(from, p.opt.Loc), fields.NightOf(to.Add(-time.Second), p.opt.Loc); d <= last; d++ {
			put(d, c)
		}
	})
	if err != nil {
		return err
	}
	var first, last fields.Date
	for d := range lows {
		if first == 0 || d < first {
			first = d
		}
		if d > last {
			last = d
		}
	}
	for d := first; d <= last && len(lows) > 0; d++ {
		if c, ok := lows[d]; ok {
			p.res.Forecasts = append(p.res.Forecasts, weather.ForecastLow{Night: d, LowC: c, Issued: issued, Source: ForecastName})
		}
	}
	p.res.Note("lows are the lower of the forecast minimum and the hourly forecast of the night")
	return nil
}

func (p *reader) entries(s *series, name string, each func(from, to time.Time, c float64)) error {
	if s == nil {
		return nil
	}
	for i, e := range s.Values {
		p.res.Read++
		where := fmt.Sprintf("%s, entry %d: ", name, i+1)
		if e.Value == nil {
			p.res.Missing++
			continue
		}
		from, to, ok := interval(e.ValidTime)
		if !ok {
			p.res.Reject(i+1, where+weather.Quote(e.ValidTime)+" is not a start and a duration")
			continue
		}
		c, why := p.celsius(*e.Value, s.Uom+s.UnitCode)
		if why != "" {
			p.res.Reject(i+1, where+why)
			continue
		}
		if !weather.Possible(c) {
			p.res.Reject(i+1, where+fmt.Sprintf("%.1f °C is no possible air temperature", c))
			continue
		}
		p.res.Kept++
		each(from, to, round(c))
	}
	return nil
}

// interval reads start/duration of ISO 8601, such as
// 2025-10-15T00:00:00+00:00/PT13H or .../P7DT5H.
func interval(s string) (from, to time.Time, ok bool) {
	a, b, found := strings.Cut(s, "/")
	if !found {
		return from, to, false
	}
	from, err := time.Parse(time.RFC3339, a)
	if err != nil || from.Year() < 1971 || from.Year() > 2200 {
		return from, to, false
	}
	d, ok := duration(b)
	return from, from.Add(d), ok && d > 0 && d <= maxEntry
}

func duration(s string) (time.Duration, bool) {
	rest, ok := strings.CutPrefix(s, "P")
	if !ok || rest == "" || len(rest) > 16 {
		return 0, false
	}
	var total time.Duration
	inTime := false
	for rest != "" {
		if rest[0] == 'T' {
			if inTime {
				return 0, false
			}
			inTime, rest = true, rest[1:]
			continue
		}
		i := 0
		for i < len(rest) && rest[i] >= '0' && rest[i] <= '9' {
			i++
		}
		n, err := strconv.Atoi(rest[:i])
		if err != nil || i >= len(rest) || n > 1000 {
			return 0, false
		}
		switch {
		case rest[i] == 'D' && !inTime:
			total += time.Duration(n) * 24 * time.Hour
		case rest[i] == 'H' && inTime:
			total += time.Duration(n) * time.Hour
		case rest[i] == 'M' && inTime:
			total += time.Duration(n) * time.Minute
		default:
			return 0, false
		}
		rest = rest[i+1:]
	}
	return total, true
}

// Sniff says why a file that begins with head is an answer of this service, ""
// if it is not.
func Sniff(head []byte) string {
	h := bytes.TrimLeft(head, " \t\r\n")
	if len(h) == 0 || h[0] != '{' {
		return ""
	}
	for _, mark := range []string{"api.weather.gov", `"wmoUnit:`, `"forecastOffice"`, `"gridId"`} {
		if bytes.Contains(h, []byte(mark)) {
			return "it is JSON that names " + strings.Trim(mark, `":`)
		}
	}
	if bytes.Contains(h, []byte(`"features"`)) || bytes.Contains(h, []byte(`"properties"`)) || bytes.Contains(h, []byte(`"@graph"`)) {
		return "it is JSON with features or properties"
	}
	return ""
}
