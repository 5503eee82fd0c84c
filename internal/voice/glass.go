package voice

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ventbell/internal/glass"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// glassAnswer words what is in the glass of a drink, or why nothing is.
func (v Voice) glassAnswer(a kitchen.Answer) Message {
	if a.NoGlass != nil {
		return message(v.GlassProblemLine(*a.NoGlass), v.GlassHint(*a.NoGlass))
	}
	return v.Glass(*a.Glass)
}

// Glass words the sums of a drink, in six lines at most.
func (v Voice) Glass(s glass.Sums) Message {
	standards := glass.Standards()
	grams := s.Alcohol.Central
	return message(
		v.say("glass.head", values{"abv": v.band(s.ABV, "%", percentText), "drink": v.Drink(s)}),
		inOne(v.say("glass.volume", values{
			"volume": v.band(s.Volume, "ml", wholeText), "sugar": v.figures(figureText(s.SugarPer100())), "acid": v.figures(figureText(s.AcidPercent())),
		}), v.untold(s)),
		v.ice(s),
		v.say("glass.alcohol", values{
			"grams": v.band(s.Alcohol, "g", percentText), "us": v.figures(figureText(standards[0].Of(grams))),
			"uk": v.figures(figureText(standards[1].Of(grams))), "ten": v.figures(figureText(standards[2].Of(grams))),
		}),
		inOne(v.cost(s), v.serves(s)),
		inOne(v.contains(s), v.uses(s)),
	)
}

// GlassLines words the sums of a drink for where there is room for all of it.
func (v Voice) GlassLines(s glass.Sums) []string {
	m := v.Glass(s)
	m.Lines = append(m.Lines, v.say("glass.estimate", nil))
	return strings.Split(m.Plain(), "\n")
}

// Drink says how a drink was understood: its parts and its method.
func (v Voice) Drink(s glass.Sums) string {
	var parts []string
	for _, p := range s.Parts {
		parts = append(parts, v.amount(p.Volume)+" "+v.term(p.Name))
	}
	return strings.Join(append(parts, v.method(s)), ", ")
}

// method says how a drink is made.
func (v Voice) method(s glass.Sums) string {
	if s.Method == glass.AsPoured {
		return v.word("glass.poured", nil)
	}
	return v.word(phrase("glass."+string(s.Method)), values{"percent": v.figures(figureText(s.Dilution.Central))})
}

// ice says what water the ice gives, and what a ready bottle needs instead.
func (v Voice) ice(s glass.Sums) Line {
	if s.Method == glass.AsPoured {
		return v.say("glass.noice", nil)
	}
	return v.say("glass.ice", values{
		"dilution": v.band(s.Dilution, "%", figureText), "water": wholeText(1000 * glass.WaterShare(s.Dilution.Central)),
	})
}

// untold says what the book does not tell and is therefore not counted.
func (v Voice) untold(s glass.Sums) Line {
	var all []string
	for _, u := range s.Untold {
		of := phrase("glass.untold.sugar")
		switch u.What {
		case glass.Acid:
			of = "glass.untold.acid"
		case glass.SugarAndAcid:
			of = "glass.untold.both"
		}
		all = append(all, v.word(of, values{"name": v.term(u.Name)}))
	}
	if len(all) == 0 {
		return nil
	}
	return v.say("glass.untold", values{"names": strings.Join(all, ", ")})
}

func (v Voice) cost(s glass.Sums) Line {
	if s.Cost == 0 {
		return nil
	}
	vals := values{"cost": v.figures(priceText(s.Cost, s.Currency)), "names": v.terms(s.Unpriced, ", ")}
	if len(s.Unpriced) > 0 {
		return v.say("glass.cost.without", vals)
	}
	return v.say("glass.cost", vals)
}

func (v Voice) serves(s glass.Sums) Line {
	if s.Serves == 0 {
		return nil
	}
	return v.say("glass.serves", values{"n": s.Serves, "title": s.ServesOf})
}

func (v Voice) contains(s glass.Sums) Line {
	if len(s.Contains) == 0 {
		return nil
	}
	return v.say("glass.contains", values{"allergens": v.terms(s.Contains, ", ")})
}

func (v Voice) uses(s glass.Sums) Line {
	var line Line
	for _, u := range s.Uses {
		line = inOne(line, v.say("glass.use", values{"title": u.Name, "use": u.Note}))
	}
	return line
}

// GlassProblemLine says why a line is no drink.
func (v Voice) GlassProblemLine(p glass.Problem) Line {
	return v.say(phrase("glass."+string(p.Code)), values{"word": p.Word})
}

// GlassHint says what to type instead.
func (v Voice) GlassHint(p glass.Problem) Line {
	line := request.Request{Verb: request.Drink, Text: p.Example}.String()
	if len(p.Names) > 0 {
		return v.say("hint.names", values{"names": strings.Join(p.Names, ", "), "line": line})
	}
	return v.say("hint", values{"line": line})
}

// inOne puts two lines into one.
func inOne(a, b Line) Line {
	if len(a) == 0 || len(b) == 0 {
		return append(a, b...)
	}
	return append(append(a, Piece{Text: " "}), b...)
}

// band words a figure with its unit and its ends, as long as they read
// differently.
func (v Voice) band(b glass.Band, unit string, text func(float64) string) string {
	low, central, high := v.figures(text(b.Low)), v.figures(text(b.Central)), v.figures(text(b.High))
	if low == high {
		return central + " " + unit
	}
	return v.word("glass.band", values{"low": low, "central": central, "high": high, "unit": unit})
}

// percentText writes a figure whole, below ten to a tenth.
func percentText(x float64) string {
	if x < 9.95 {
		return figureText(x)
	}
	return wholeText(x)
}

func wholeText(x float64) string { return strconv.FormatFloat(math.Round(x), 'f', 0, 64) }

// figureText writes a figure to a tenth, without an idle zero.
func figureText(x float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(x, 'f', 1, 64), ".0")
}

func priceText(m quantity.Money, currency string) string {
	return strings.TrimSpace(fmt.Sprintf("%d.%02d %s", m/100, m%100, currency))
}
