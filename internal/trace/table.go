package trace

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"ventbell/internal/kitchen"
)

// Writer writes rows for inspectors.
type Writer interface {
	Row(cells []string) error
	Close() error
}

// NewCSV gives a writer of comma-separated values by RFC 4180, with the columns'
// names in the first row. Cells that a table program would take for a formula get
// an apostrophe before them.
func NewCSV(w io.Writer, columns []string) Writer {
	c := &csvWriter{csv.NewWriter(w)}
	c.UseCRLF = true
	_ = c.Write(columns) // the writer keeps its first error, and Close gives it
	return c
}

// formulas are the characters by which a table program takes a cell for a formula,
// in both widths: OWASP, "CSV Injection" (from memory).
const formulas = "=+-@\t\r\n＝＋－＠"

type csvWriter struct{ *csv.Writer }

func (c *csvWriter) Row(cells []string) error {
	for i, cell := range cells {
		if first, _ := utf8.DecodeRuneInString(cell); cell != "" && strings.ContainsRune(formulas, first) {
			cells[i] = "'" + cell
		}
	}
	return c.Write(cells)
}

func (c *csvWriter) Close() error {
	c.Flush()
	return c.Error()
}

// NewJSON gives a writer of JSON: a list with an object for each row, whose keys
// are the columns in their order. Empty cells are left out.
func NewJSON(w io.Writer, columns []string) Writer {
	return &jsonWriter{w: w, columns: columns}
}

type jsonWriter struct {
	w       io.Writer
	columns []string
	rows    int
}

func (j *jsonWriter) Row(cells []string) error {
	var b strings.Builder
	for i, cell := range cells {
		if cell == "" {
			continue
		}
		if b.Len() > 0 {
			b.WriteString(", ")
		}
		value, err := json.Marshal(cell)
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "%q: %s", j.columns[i], value)
	}
	open := ",\n"
	if j.rows == 0 {
		open = "[\n"
	}
	j.rows++
	_, err := fmt.Fprintf(j.w, "%s  {%s}", open, b.String())
	return err
}

func (j *jsonWriter) Close() error {
	end := "\n]\n"
	if j.rows == 0 {
		end = "[]\n"
	}
	_, err := io.WriteString(j.w, end)
	return err
}

// EventColumns are the columns of an export of events, and BatchColumns those of
// one of batches. Moments are in the house's zone, with its offset; volumes are in
// ml, masses in g, rests in seconds, strengths in percent by volume.
var (
	EventColumns = []string{"entered", "done", "kitchen", "batch", "event", "by", "by_id", "request", "message", "details"}
	BatchColumns = []string{
		"batch", "code", "product", "vessel", "base", "lots", "allergens", "liquid_ml", "solids", "chargers", "made", "made_by",
		"rest_planned_s", "rest_s", "vent_late_s", "emptied", "emptied_by", "strained", "strained_by", "yield_ml", "drained_g",
		"labelled", "labelled_by", "abv_low", "abv_high", "use_by", "storage", "ended",
	}
)

// EventCells gives an event as a row.
func (r Reader) EventCells(l kitchen.Line) []string {
	batch := ""
	if l.Batch != 0 {
		batch = fmt.Sprint(l.Batch)
	}
	var details []string
	for _, key := range slices.Sorted(maps.Keys(l.Details)) {
		if l.Details[key] != "" {
			details = append(details, key+": "+l.Details[key])
		}
	}
	return []string{
		r.moment(l.Entered), r.moment(l.Done), l.Kitchen, batch, l.Event, l.By.Name, l.By.ID, l.Request, l.Message,
		strings.Join(details, "; "),
	}
}

// BatchCells gives a batch as a row.
func (r Reader) BatchCells(b *kitchen.Batch) []string {
	var solids, lots []string
	for _, s := range b.Solids {
		solid := fmt.Sprint(s.Mass, " ", s.Name)
		if s.Prep != "" {
			solid += " (" + s.Prep + ")"
		}
		solids = append(solids, solid)
	}
	for _, of := range slices.Sorted(maps.Keys(b.Lots)) {
		lots = append(lots, of+": "+b.Lots[of])
	}
	rest, late := "", ""
	if b.Emptied != nil && b.RestFrom != 0 {
		rest = seconds(b.Emptied.Done.Sub(b.RestFrom))
		late = seconds(max(0, b.Emptied.Done.Sub(b.VentAt)))
	}
	emptied, emptiedBy := r.mark(b.Emptied)
	strained, strainedBy := r.mark(b.Strained)
	labelled, labelledBy := r.mark(b.Labelled)
	useBy := ""
	if b.UseBy != 0 {
		useBy = b.UseBy.Time().In(r.Zone).Format(time.DateOnly)
	}
	return []string{
		fmt.Sprint(b.ID), b.Code, b.Title, b.Vessel, b.Base, strings.Join(lots, "; "), strings.Join(b.Allergens, "; "),
		figure(b.Liquid.Millilitres()), strings.Join(solids, "; "), fmt.Sprint(len(b.Charges)), r.moment(b.Started.Done.Time()), b.Started.By.Name,
		seconds(b.Rest.Target), rest, late, emptied, emptiedBy, strained, strainedBy,
		figure(b.Yield.Millilitres()), figure(b.Drained.Grams()),
		labelled, labelledBy, strength(b.ABVLow), strength(b.ABVHigh), useBy, b.Storage, ended(b),
	}
}

// ended says how a batch ended, in a word.
func ended(b *kitchen.Batch) string {
	switch {
	case b.Labelled != nil:
		return "stored"
	case b.Expired:
		return "never charged"
	case b.Ended != nil:
		return "scrapped"
	}
	return "open"
}

func (r Reader) mark(m *kitchen.Mark) (at, by string) {
	if m == nil {
		return "", ""
	}
	return r.moment(m.Done.Time()), m.By.Name
}

// moment gives a moment as in RFC 3339, in the house's zone.
func (r Reader) moment(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(r.Zone).Format(time.RFC3339)
}

func seconds(d time.Duration) string { return fmt.Sprintf("%.0f", d.Seconds()) }

// figure gives a figure in full; one that was not told is empty.
func figure(x float64) string {
	if x == 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func strength(abv float64) string {
	if abv == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f", abv)
}
