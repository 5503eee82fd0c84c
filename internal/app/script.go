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
	"ventbell/internal/plan"
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
	flags := flag.NewFlagSet(name, flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.BoolVar(&c.asJSON, "json", false, "print one JSON object")
	flags.StringVar(&c.bookFile, "book", "", "the book's `file`; the sample book when not given")
	if err := flags.Parse(args); err != nil {
		return c, err
	}
	c.text = strings.Join(flags.Args(), " ")
	return c, nil
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

// speaker gives the voice of a house and its zone.
func speaker(b *book.Book) (voice.Voice, *time.Location, error) {
	zone, err := time.LoadLocation(b.House.Zone)
	if err != nil {
		return voice.Voice{}, nil, fmt.Errorf("find the house's zone: %w", err)
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
	Vessel   string   `json:"vessel,omitempty"`
	SolidsG  float64  `json:"solids_g,omitempty"`
	RestS    float64  `json:"rest_s,omitempty"`
	TempC    *float64 `json:"liquid_temp_c,omitempty"`
	Question string   `json:"question,omitempty"`
	Options  []string `json:"options,omitempty"`
	Problem  string   `json:"problem,omitempty"`
	Hint     string   `json:"hint,omitempty"`
	Echo     string   `json:"echo,omitempty"`
}

func readingOf(r request.Reading, v voice.Voice) readingJSON {
	switch {
	case r.Problem != nil:
		return readingJSON{Kind: "problem", Problem: v.ProblemLine(*r.Problem).Plain(), Hint: v.Hint(*r.Problem).Plain()}
	case r.Question != nil:
		out := readingJSON{Kind: "question", Question: v.Question(*r.Question).Lines[0].Plain()}
		for _, o := range r.Question.Options {
			out.Options = append(out.Options, o.Line)
		}
		return out
	}
	q := r.Request
	out := readingJSON{
		Kind: "request", Verb: string(q.Verb), Recipe: q.Recipe, VolumeML: q.Volume.Millilitres(), Count: q.Count,
		Vessel: q.Vessel, SolidsG: q.Solids.Grams(), RestS: q.Rest.Seconds(), Echo: v.Echo(*q),
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
	reading := readingOf(request.Read(c.text, request.Context{Book: b, Now: time.Now().In(zone)}), v)
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

// planJSON is what `plan --json` prints.
type planJSON struct {
	Recipe      string     `json:"recipe"`
	Runs        []runJSON  `json:"runs"`
	Temp        tempJSON   `json:"liquid_temp_c"`
	SwirlS      float64    `json:"swirl_s"`
	RestS       float64    `json:"rest_s"`
	RestMinS    float64    `json:"rest_min_s"`
	RestMaxS    float64    `json:"rest_max_s"`
	SettleS     float64    `json:"settle_s"`
	StrainFirst bool       `json:"strain_first"`
	ContactCapS float64    `json:"contact_cap_s"`
	JudgeAfterS float64    `json:"judge_after_s"`
	Steps       []stepJSON `json:"steps"`
	Notes       []string   `json:"notes"`
}

type runJSON struct {
	Vessel   string      `json:"vessel"`
	LiquidML float64     `json:"liquid_ml"`
	Solids   []solidJSON `json:"solids"`
	Chargers int         `json:"chargers"`
	ChargeG  float64     `json:"charge_g"`
}

type solidJSON struct {
	Name  string  `json:"name"`
	Grams float64 `json:"grams"`
	Prep  string  `json:"prep"`
}

type tempJSON struct {
	Min    float64 `json:"min"`
	Target float64 `json:"target"`
	Max    float64 `json:"max"`
}

type stepJSON struct {
	AtS  float64 `json:"at_s"`
	Do   string  `json:"do"`
	Note string  `json:"note,omitempty"`
}

// problemJSON is what `plan --json` prints when there is no plan.
type problemJSON struct {
	Problem string `json:"problem"`
	Hint    string `json:"hint"`
}

func planOf(p plan.Plan, v voice.Voice) planJSON {
	out := planJSON{
		Recipe: p.Title,
		Temp:   tempJSON{p.Temp.Min.Degrees(), p.Temp.Target.Degrees(), p.Temp.Max.Degrees()},
		SwirlS: p.Swirl.Seconds(), RestS: p.Rest.Target.Seconds(), RestMinS: p.Rest.Min.Seconds(),
		RestMaxS: p.Rest.Max.Seconds(), SettleS: p.Settle.Seconds(), StrainFirst: p.StrainFirst,
		ContactCapS: p.Contact.Seconds(), JudgeAfterS: p.JudgeAfter.Seconds(), Notes: v.Notes(p),
	}
	for _, r := range p.Runs {
		run := runJSON{
			Vessel: r.Vessel, LiquidML: r.Liquid.Millilitres(), Chargers: r.Chargers, ChargeG: r.Charge.Grams(),
		}
		for _, s := range r.Solids {
			run.Solids = append(run.Solids, solidJSON{s.Name, s.Mass.Grams(), s.Prep})
		}
		out.Runs = append(out.Runs, run)
	}
	for _, s := range p.Steps {
		out.Steps = append(out.Steps, stepJSON{s.At.Seconds(), v.StepName(s), v.StepNote(s)})
	}
	return out
}

// planLine is `ventbell plan`: the charge and rest plan of a line, with all
// vessels of the book free.
func planLine(args []string, stdout, stderr io.Writer) (int, error) {
	c, err := parseLine("plan", args, stderr)
	if err != nil {
		return exitProblem, err
	}
	b, v, zone, err := c.opened()
	if err != nil {
		return 1, err
	}
	p, problem := planText(c.text, b, v, time.Now().In(zone))
	switch {
	case problem != nil && c.asJSON:
		return exitProblem, printJSON(stdout, problem)
	case problem != nil:
		fmt.Fprintln(stdout, problem.Problem)
		fmt.Fprintln(stdout, problem.Hint)
		return exitProblem, nil
	case c.asJSON:
		return 0, printJSON(stdout, planOf(p, v))
	}
	for _, line := range v.Plan(p) {
		fmt.Fprintln(stdout, line)
	}
	return 0, nil
}

// planText reads a line and makes its plan, or says why there is none.
func planText(text string, b *book.Book, v voice.Voice, now time.Time) (plan.Plan, *problemJSON) {
	reading := request.Read(text, request.Context{Book: b, Now: now})
	said := readingOf(reading, v)
	switch {
	case reading.Problem != nil:
		return plan.Plan{}, &problemJSON{said.Problem, said.Hint}
	case reading.Question != nil:
		return plan.Plan{}, &problemJSON{said.Question, v.Hint(request.Problem{Example: said.Options[0]}).Plain()}
	case reading.Request.Verb != request.Start:
		example := request.Problem{Code: request.NoRecipe, Example: "start " + b.Recipes[0].Name}
		return plan.Plan{}, &problemJSON{v.ProblemLine(example).Plain(), v.Hint(example).Plain()}
	}
	p, problem := plan.Make(b, *reading.Request, b.Vessels)
	if problem != nil {
		return plan.Plan{}, &problemJSON{v.PlanProblemLine(*problem).Plain(), v.PlanHint(*problem).Plain()}
	}
	return p, nil
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
