package app

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/request"
	"ventbell/internal/voice"
)

// exitProblem is the exit status when a line or a plan has a problem.
const exitProblem = 2

// lineCommand is `read` or `plan`: one line in, one answer out; no server.
type lineCommand struct {
	asJSON   bool
	bookFile string
	text     string
}

func parseLine(name string, args []string, stderr io.Writer) (lineCommand, error) {
	var c lineCommand
	flags := c.flags(name, stderr)
	if err := flags.Parse(args); err != nil {
		return c, err
	}
	c.text = strings.Join(flags.Args(), " ")
	return c, nil
}

// flags gives the flags that every command on a line has.
func (c *lineCommand) flags(name string, stderr io.Writer) *flag.FlagSet {
	flags := flag.NewFlagSet(name, flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.BoolVar(&c.asJSON, "json", false, "print one JSON object")
	flags.StringVar(&c.bookFile, "book", "", "the book's `file`; the sample book when not given")
	return flags
}

// openBook reads the book at path; the sample book when there is none.
func openBook(path string) (*book.Book, error) {
	if path == "" {
		return book.Sample(), nil
	}
	body, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("read book: %w", err)
	}
	b, err := book.Parse(body)
	if err != nil {
		return nil, fmt.Errorf("read book %s: %w", path, err)
	}
	return b, nil
}

// opened gives the command's book and a voice in its house's language.
func (c lineCommand) opened() (*book.Book, voice.Voice, *time.Location, error) {
	b, err := openBook(c.bookFile)
	if err != nil {
		return nil, voice.Voice{}, nil, err
	}
	v, zone, err := speaker(b)
	return b, v, zone, err
}

// zoneOf gives the time zone of a house.
func zoneOf(b *book.Book) (*time.Location, error) {
	zone, err := time.LoadLocation(b.House.Zone)
	if err != nil {
		return nil, fmt.Errorf("find the house's zone: %w", err)
	}
	return zone, nil
}

// speaker gives the voice of a house and its zone.
func speaker(b *book.Book) (voice.Voice, *time.Location, error) {
	zone, err := zoneOf(b)
	if err != nil {
		return voice.Voice{}, nil, err
	}
	v, err := voice.New(b.House.Language, zone)
	return v, zone, err
}

// readingJSON is what `read --json` prints; what was not said is absent.
type readingJSON struct {
	Kind     string   `json:"kind"`
	Verb     string   `json:"verb,omitempty"`
	Recipe   string   `json:"recipe,omitempty"`
	VolumeML float64  `json:"volume_ml,omitempty"`
	Count    int      `json:"count,omitempty"`
	Split    bool     `json:"split,omitempty"`
	Vessel   string   `json:"vessel,omitempty"`
	Serves   int      `json:"serves,omitempty"`
	ServeML  float64  `json:"serve_ml,omitempty"`
	SolidsG  float64  `json:"solids_g,omitempty"`
	RestS    float64  `json:"rest_s,omitempty"`
	TempC    *float64 `json:"liquid_temp_c,omitempty"`
	Question string   `json:"question,omitempty"`
	Options  []string `json:"options,omitempty"`
	Problem  string   `json:"problem,omitempty"`
	Hint     string   `json:"hint,omitempty"`
	Echo     string   `json:"echo,omitempty"`

	Language    string   `json:"language,omitempty"`
	Topic       string   `json:"topic,omitempty"`
	Trouble     string   `json:"trouble,omitempty"`
	Allergen    string   `json:"allergen,omitempty"`
	Verdict     string   `json:"verdict,omitempty"`
	Chargers    int      `json:"chargers,omitempty"`
	InAll       bool     `json:"in_all,omitempty"`
	OfYesterday bool     `json:"of_yesterday,omitempty"`
	ExtraS      float64  `json:"extra_s,omitempty"`
	For         string   `json:"for,omitempty"`  // RFC 3339; a whole day as its date
	Done        string   `json:"done,omitempty"` // RFC 3339
	Examples    []string `json:"examples,omitempty"`
}

func readingOf(r request.Reading, v voice.Voice) readingJSON {
	switch {
	case r.Problem != nil:
		out := readingJSON{
			Kind: "problem", Verb: string(r.Problem.Meant), Problem: v.ProblemLine(*r.Problem).Plain(), Hint: v.Hint(*r.Problem).Plain(), Language: r.Language,
		}
		for _, line := range []string{r.Problem.Example, r.Problem.Another} {
			if line != "" {
				out.Examples = append(out.Examples, line)
			}
		}
		return out
	case r.Question != nil:
		out := readingJSON{Kind: "question", Question: v.Question(*r.Question).Lines[0].Plain(), Language: r.Language}
		for _, o := range r.Question.Options {
			out.Options = append(out.Options, o.Line)
		}
		return out
	}
	q := r.Request
	out := readingJSON{
		Kind: "request", Verb: string(q.Verb), Recipe: q.Recipe, VolumeML: q.Volume.Millilitres(), Count: q.Count, Split: q.Split,
		Serves: q.Serves, ServeML: q.Serve.Millilitres(), Vessel: q.Vessel, SolidsG: q.Solids.Grams(), RestS: q.Rest.Seconds(), Echo: v.Echo(*q),
		Language: r.Language, Topic: string(q.Topic), Trouble: string(q.Kind), Allergen: q.Allergen, Verdict: string(q.Verdict), Chargers: q.Chargers, InAll: q.InAll,
		OfYesterday: q.OfYesterday, ExtraS: q.Extra.Seconds(), For: wantedText(q.For),
	}
	if !q.Done.IsZero() {
		out.Done = q.Done.Format(time.RFC3339)
	}
	if q.Recipe == "" && q.Solid != "" {
		out.Recipe = q.Solid + " " + q.Base
	}
	if q.Temp != nil {
		degrees := q.Temp.Degrees()
		out.TempC = &degrees
	}
	return out
}

// wantedText gives when something is wanted: a moment, or the date of a whole day.
func wantedText(t time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case t.Hour() == 0 && t.Minute() == 0:
		return t.Format(time.DateOnly)
	}
	return t.Format(time.RFC3339)
}

// readLine is `ventbell read`: how a line is understood.
func readLine(args []string, stdout, stderr io.Writer) (int, error) {
	c, err := parseLine("read", args, stderr)
	if err != nil {
		return exitProblem, err
	}
	b, v, zone, err := c.opened()
	if err != nil {
		return 1, err
	}
	r := request.Read(c.text, request.Context{Book: b, Now: time.Now().In(zone)})
	if own, err := voice.New(r.Language, zone); err == nil && r.Language != b.House.Language {
		v = own
	}
	reading := readingOf(r, v)
	if c.asJSON {
		return 0, printJSON(stdout, reading)
	}
	for _, line := range []string{reading.Echo, reading.Question, reading.Problem, reading.Hint} {
		if line != "" {
			fmt.Fprintln(stdout, line)
		}
	}
	for _, o := range reading.Options {
		fmt.Fprintf(stdout, "  %s\n", o)
	}
	return 0, nil
}

func printJSON(w io.Writer, value any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(value); err != nil {
		return fmt.Errorf("print JSON: %w", err)
	}
	return nil
}
