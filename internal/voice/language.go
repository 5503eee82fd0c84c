package voice

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
	printer "golang.org/x/text/message"
	"golang.org/x/text/number"
)

// tongue is one language: its sentences, its words for what the house calls in
// English, and its calendar.
type tongue struct {
	tag      language.Tag
	phrases  map[phrase]string
	words    map[string]string // house words, from English; one that is missing stands as it is
	weekdays [7]string         // short, from Sunday
	months   [12]string        // short
}

// tongues are the languages, the one to fall back on first. Weekdays and months
// are the abbreviated forms of Unicode CLDR (common/main/en.xml, es.xml and
// fr.xml, format, abbreviated), which give French its full stops.
var tongues = []tongue{
	{
		tag: language.English, phrases: joined(english, englishLabel, englishPages, englishBook, englishKept, englishAsks, englishAskback, englishTaste, englishDrained, englishRegister, englishRoles, englishCrew, englishStock, englishTrace, englishClosing),
		weekdays: [7]string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"},
		months:   [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"},
	},
	{
		tag: language.Spanish, phrases: joined(spanish, spanishLabel, spanishPages, spanishBook, spanishKept, spanishAsks, spanishAskback, spanishTaste, spanishDrained, spanishRegister, spanishRoles, spanishCrew, spanishStock, spanishTrace, spanishClosing), words: joined(spanishWords, spanishGoods),
		weekdays: [7]string{"dom", "lun", "mar", "mié", "jue", "vie", "sáb"},
		months:   [12]string{"ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sept", "oct", "nov", "dic"},
	},
	{
		tag: language.French, phrases: spaced(joined(french, frenchLabel, frenchPages, frenchBook, frenchKept, frenchAsks, frenchAskback, frenchTaste, frenchDrained, frenchRegister, frenchRoles, frenchCrew, frenchStock, frenchTrace, frenchClosing)), words: joined(frenchWords, frenchGoods),
		weekdays: [7]string{"dim.", "lun.", "mar.", "mer.", "jeu.", "ven.", "sam."},
		months: [12]string{
			"janv.", "févr.", "mars", "avr.", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.", "déc.",
		},
	},
}

// joined puts the parts of a catalogue together.
func joined[K ~string](parts ...map[K]string) map[K]string {
	all := map[K]string{}
	for _, part := range parts {
		for name, text := range part {
			all[name] = text
		}
	}
	return all
}

// spaced puts the unbreakable spaces of French before its high signs, so that
// no line begins with one on a narrow screen.
func spaced(phrases map[phrase]string) map[phrase]string {
	signs := strings.NewReplacer(" :", "\u00a0:", " ?", "\u00a0?", " !", "\u00a0!", " ;", "\u00a0;", " %", "\u00a0%")
	for name, text := range phrases {
		phrases[name] = signs.Replace(text)
	}
	return phrases
}

// Languages lists the languages that are spoken, by their tags.
func Languages() []string {
	var list []string
	for _, t := range tongues {
		list = append(list, t.tag.String())
	}
	return list
}

// nearest gives the language that serves for a tag ("es-MX", "fr_CA"), and the
// tag as it is written properly.
func nearest(tag string) (tongue, language.Tag, bool) {
	asked, err := language.Parse(tag)
	if err != nil {
		return tongue{}, language.Und, false
	}
	base, _ := asked.Base()
	for _, t := range tongues {
		if own, _ := t.tag.Base(); own == base {
			return t, asked, true
		}
	}
	return tongue{}, asked, false
}

// in gives the voice of a language; this one where that is not spoken, is its
// own, or is not told.
func (v Voice) in(tag string) Voice {
	if tag == "" || tag == v.tag.String() {
		return v
	}
	if other, err := New(tag, v.zone); err == nil {
		return other
	}
	return v
}

// decimalPoint gives the sign between the whole and its parts, by the number
// data of CLDR: Mexico writes a point, Spain a comma.
func decimalPoint(tag language.Tag) string {
	for _, r := range printer.NewPrinter(tag).Sprint(number.Decimal(0.5)) {
		if !unicode.IsDigit(r) {
			return string(r)
		}
	}
	return "."
}

// figures writes the figures of a text that was made in English ("1.5 l") with
// the decimal sign of the language.
func (v Voice) figures(text string) string {
	if v.point == "." {
		return text
	}
	digit := func(i int) bool { return i >= 0 && i < len(text) && text[i] >= '0' && text[i] <= '9' }
	var b strings.Builder
	for i := range len(text) {
		if text[i] == '.' && digit(i-1) && digit(i+1) {
			b.WriteString(v.point)
			continue
		}
		b.WriteByte(text[i])
	}
	return b.String()
}

// amount writes a volume, a mass or another figure with its unit.
func (v Voice) amount(x fmt.Stringer) string { return v.figures(x.String()) }

// date writes a weekday and a date.
func (v Voice) date(t time.Time) string {
	return fmt.Sprintf("%s %d %s", v.weekdays[t.Weekday()], t.Day(), v.months[t.Month()-1])
}

// count says a phrase about n things: its ".one" or its ".many", by the plural
// rules of CLDR. French has no charger in the singular.
func (v Voice) count(p phrase, n int, vals values) string {
	all := values{"n": n}
	for name, value := range vals {
		all[name] = value
	}
	if plural.Cardinal.MatchPlural(v.tag, n, 0, 0, 0, 0) == plural.One {
		return v.word(p+".one", all)
	}
	return v.word(p+".many", all)
}

// term gives the language's word for what the house calls in English.
func (v Voice) term(word string) string {
	if own, ok := v.words[word]; ok {
		return own
	}
	return word
}

// degrees writes a temperature.
func (v Voice) degrees(celsius float64) string {
	return v.word("degrees", values{"n": v.figures(strconv.FormatFloat(celsius, 'f', -1, 64))})
}

// terms gives the language's words, one after the other.
func (v Voice) terms(words []string, between string) string {
	var own []string
	for _, w := range words {
		own = append(own, v.term(w))
	}
	return strings.Join(own, between)
}

// prepared says how a solid is prepared, part by part.
func (v Voice) prepared(prep string) string { return v.terms(strings.Split(prep, ", "), ", ") }
