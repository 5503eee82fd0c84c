package request

import (
	"strconv"
	"strings"
	"time"

	"ventbell/internal/quantity"
)

// String writes the request as a line that reads back to the same request. It
// writes what its verb takes and nothing else.
func (r Request) String() string {
	if r.Verb == Binned && r.Topic == Expiring {
		return r.closingLine()
	}
	switch r.Verb {
	case Recall, Binned:
		return r.traceText()
	case Start:
		return r.startLine()
	case More:
		return strings.TrimRight("+"+spanText(r.Extra)+" "+written(r.Vessel), " ")
	case Drink:
		return strings.TrimRight(string(Drink)+" "+r.Text, " ")
	case MoreGas:
		return r.gasLine()
	case Got, Foam, Counted, Shells, Cream, Emptied:
		return r.stockLine()
	case Asks, Trouble, Emergency:
		return r.askLine()
	case Again:
		return r.againLine()
	case Taste:
		return r.tasteLine()
	case Offer:
		return strings.TrimRight("hand over "+written(r.Vessel), " ")
	case Trained, Untrain, Initial, Decline:
		return r.personLine()
	case Forget:
		return forgetLine(r.Person)
	case OpenLot:
		return r.lotLine()
	case CloseList, HandOver, Sign, Fridge, Cooled:
		return r.closingLine()
	case Withdraw, Return, Checked, Freed, Fenced, DeepWash:
		return r.vesselLine()
	case RestFor:
		return strings.TrimRight("rest "+spanText(r.Rest)+" "+written(r.Vessel), " ")
	}
	parts := []string{string(r.Verb)}
	if r.Vessel != "" {
		parts = append(parts, written(r.Vessel))
	}
	if r.Verb == Strained && r.Solids > 0 {
		parts = append(parts, grams(r.Solids))
	}
	if r.Verb == Strained && r.Volume > 0 {
		parts = append(parts, millilitres(r.Volume))
	}
	if takesTime(r.Verb) && !r.Done.IsZero() {
		parts = append(parts, "at "+clockText(r.Done))
	}
	return strings.Join(parts, " ")
}

// gasLine writes of chargers beyond the count.
func (r Request) gasLine() string {
	if r.Chargers == 0 {
		return strings.TrimRight("overcharged "+written(r.Vessel), " ")
	}
	end := " by mistake"
	if r.InAll {
		end = " in all"
	}
	in := ""
	if r.Vessel != "" {
		in = " in " + written(r.Vessel)
	}
	return "put " + strconv.Itoa(r.Chargers) + " chargers" + in + end
}

// saidOf are the words that say a kind of trouble where its own don't.
var saidOf = map[Kind]string{
	Overrun: "forgot it", Foaming: "foamed over", Stuck: "won't open", Burn: "burned", Eye: "in the eye", Fire: "on fire",
}

// askLine writes a question or a cry for help.
func (r Request) askLine() string {
	if r.Topic == WhereLot || r.Topic == TraceOf {
		return r.traceText()
	}
	text := string(r.Topic) + saidOf[r.Kind]
	if text == "" {
		text = string(r.Kind)
	}
	if r.Allergen != "" {
		text += " " + r.Allergen
	}
	if r.Recipe != "" {
		text += " " + r.Recipe
	}
	if r.Rest > 0 {
		text += " " + spanText(r.Rest)
	}
	return strings.TrimRight(text+" "+written(r.Vessel), " ")
}

// againLine writes the same once more.
func (r Request) againLine() string {
	parts := []string{string(Again)}
	if r.OfYesterday {
		parts[0] = "same as yesterday"
	}
	if r.Recipe != "" {
		parts = append(parts, r.Recipe)
	}
	if r.Volume > 0 {
		parts = append(parts, millilitres(r.Volume))
	}
	if r.Count > 0 {
		parts = append(parts, "x"+strconv.Itoa(r.Count))
	}
	if r.Vessel != "" {
		parts = append(parts, "in "+written(r.Vessel))
	}
	return strings.Join(parts, " ")
}

// wantedText writes when a batch is wanted: a day, or a moment of it.
func wantedText(t time.Time) string {
	if t.Hour() == 0 && t.Minute() == 0 {
		return "for " + t.Format(time.DateOnly)
	}
	return "for " + t.Format("2006-01-02 15:04")
}

func (r Request) startLine() string {
	parts := []string{string(Start)}
	if r.Recipe != "" {
		parts = append(parts, r.Recipe)
	} else if r.Solid != "" || r.Base != "" {
		parts = append(parts, strings.TrimSpace(r.Solid+" "+r.Base))
	}
	if r.Volume > 0 {
		parts = append(parts, millilitres(r.Volume))
	}
	if r.Serves > 0 {
		parts = append(parts, strconv.Itoa(r.Serves)+" serves")
		if r.Serve > 0 {
			parts = append(parts, "at "+millilitres(r.Serve))
		}
	}
	if r.Count > 0 {
		parts = append(parts, "x"+strconv.Itoa(r.Count))
	}
	if r.Split {
		parts = append(parts, "split")
	}
	if r.Vessel != "" {
		if isLetterTag(r.Vessel) {
			parts = append(parts, "in "+r.Vessel)
		} else {
			parts = append(parts, "in vessel "+r.Vessel)
		}
	}
	if r.Solids > 0 {
		parts = append(parts, grams(r.Solids))
	}
	if r.Rest > 0 {
		parts = append(parts, "rest "+spanText(r.Rest))
	}
	if r.Temp != nil {
		parts = append(parts, tenths(int64(*r.Temp))+"°C")
	}
	if !r.For.IsZero() {
		parts = append(parts, wantedText(r.For))
	}
	if r.Sure {
		parts = append(parts, "as class")
	}
	return strings.Join(parts, " ")
}

// written gives a vessel's tag as a line names it: a capital by itself can be
// nothing else, anything more is introduced.
func written(tag string) string {
	if tag == "" || isLetterTag(tag) {
		return tag
	}
	return "vessel " + tag
}

func isLetterTag(tag string) bool { return len(tag) == 1 && tag[0] >= 'A' && tag[0] <= 'Z' }

func millilitres(v quantity.Volume) string { return thousandths(int64(v)) + "ml" }

func grams(m quantity.Mass) string { return thousandths(int64(m)) + "g" }

// thousandths writes n thousandths. Three decimals would read as a thousand, so
// it writes four.
func thousandths(n int64) string {
	whole, part := n/1000, n%1000
	if part == 0 {
		return strconv.FormatInt(whole, 10)
	}
	digits := strconv.FormatInt(1000+part, 10)[1:]
	if short := strings.TrimRight(digits, "0"); len(short) < 3 {
		return strconv.FormatInt(whole, 10) + "." + short
	}
	return strconv.FormatInt(whole, 10) + "." + digits + "0"
}

func tenths(n int64) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	text := sign + strconv.FormatInt(n/10, 10)
	if n%10 != 0 {
		text += "." + strconv.FormatInt(n%10, 10)
	}
	return text
}

// spanText writes a span, in minutes where they are whole and two or more.
func spanText(d time.Duration) string {
	if d >= 2*time.Minute && d%time.Minute == 0 {
		return strconv.FormatInt(int64(d/time.Minute), 10) + "min"
	}
	return strconv.FormatInt(int64(d/time.Second), 10) + "s"
}

// clockText writes a time of day, with its offset where a clock shows it twice.
func clockText(t time.Time) string {
	wall := time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
	if len(instants(wall, t.Location())) > 1 {
		return t.Format("15:04:05-07:00")
	}
	return t.Format("15:04:05")
}
