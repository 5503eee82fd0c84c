package app

import (
	"fmt"
	"io"
	"math"
	"strings"

	"ventbell/internal/glass"
	"ventbell/internal/voice"
)

// drinkJSON is what `drink --json` prints; a problem stands alone with its hint.
type drinkJSON struct {
	Name             string       `json:"name"`
	Parts            []pourJSON   `json:"parts"`
	Method           string       `json:"method,omitempty"`
	Dilution         drinkBand    `json:"dilution_percent"`
	WaterMLPerLitre  float64      `json:"bottled_water_ml_per_l,omitempty"`
	Volume           drinkBand    `json:"volume_ml"`
	ABV              drinkBand    `json:"abv"`
	AlcoholG         float64      `json:"alcohol_g"`
	StandardDrinks   standardJSON `json:"standard_drinks"`
	StandardSources  []string     `json:"standard_sources"`
	SugarG           float64      `json:"sugar_g"`
	SugarGPer100ML   float64      `json:"sugar_g_per_100ml"`
	AcidG            float64      `json:"acid_g"`
	AcidPercent      float64      `json:"acid_percent"`
	Untold           []untoldJSON `json:"untold,omitempty"`
	Cost             *float64     `json:"cost,omitempty"`
	Currency         string       `json:"currency,omitempty"`
	CostWithout      []string     `json:"cost_without,omitempty"`
	Serves           int          `json:"serves,omitempty"`
	ServesOf         string       `json:"serves_of,omitempty"`
	ContainsAtLeast  []string     `json:"contains_at_least,omitempty"`
	Use              string       `json:"use,omitempty"`
	StrengthEstimate bool         `json:"strength_is_estimate"`
}

type pourJSON struct {
	Name     string    `json:"name"`
	VolumeML float64   `json:"volume_ml"`
	ABV      drinkBand `json:"abv"`
	Source   string    `json:"source,omitempty"`
}

type drinkBand struct {
	Low     float64 `json:"low"`
	Central float64 `json:"central"`
	High    float64 `json:"high"`
}

type standardJSON struct {
	US      float64 `json:"us"`
	UKUnits float64 `json:"uk_units"`
	TenG    float64 `json:"ten_g"`
}

type untoldJSON struct {
	Name string `json:"name"`
	What string `json:"what"`
}

func drinkOf(s glass.Sums, v voice.Voice) drinkJSON {
	standards := glass.Standards()
	grams := s.Alcohol.Central
	out := drinkJSON{
		Name: v.Drink(s), Method: string(s.Method), Dilution: drinkBandOf(s.Dilution),
		WaterMLPerLitre: toTenth(1000 * glass.WaterShare(s.Dilution.Central)),
		Volume:          drinkBandOf(s.Volume), ABV: drinkBandOf(s.ABV), AlcoholG: toTenth(grams),
		StandardDrinks: standardJSON{
			toHundredth(standards[0].Of(grams)), toHundredth(standards[1].Of(grams)), toHundredth(standards[2].Of(grams)),
		},
		SugarG: toTenth(s.Sugar), SugarGPer100ML: toTenth(s.SugarPer100()), AcidG: toHundredth(s.Acid), AcidPercent: toHundredth(s.AcidPercent()),
		CostWithout: s.Unpriced, Serves: s.Serves, ServesOf: s.ServesOf, ContainsAtLeast: s.Contains, StrengthEstimate: s.About(),
	}
	if s.Cost > 0 {
		cost := float64(s.Cost) / 100
		out.Cost, out.Currency = &cost, s.Currency
	}
	for _, d := range standards {
		out.StandardSources = append(out.StandardSources, d.Source)
	}
	for _, p := range s.Parts {
		out.Parts = append(out.Parts, pourJSON{p.Name, toTenth(p.Volume.Millilitres()), drinkBandOf(p.Strength), p.Source})
	}
	for _, u := range s.Untold {
		out.Untold = append(out.Untold, untoldJSON(u))
	}
	for _, u := range s.Uses {
		note := u.Note
		if len(s.Uses) > 1 {
			note = u.Name + ": " + note
		}
		out.Use = strings.TrimPrefix(out.Use+"; "+note, "; ")
	}
	return out
}

func toTenth(x float64) float64 { return math.Round(10*x) / 10 }

func toHundredth(x float64) float64 { return math.Round(100*x) / 100 }

func drinkBandOf(b glass.Band) drinkBand {
	return drinkBand{toTenth(b.Low), toTenth(b.Central), toTenth(b.High)}
}

// drinkLine is `ventbell drink`: what is in the glass of a drink.
func drinkLine(args []string, stdout, stderr io.Writer) (int, error) {
	c, err := parseLine("drink", args, stderr)
	if err != nil {
		return exitProblem, err
	}
	b, v, _, err := c.opened()
	if err != nil {
		return 1, err
	}
	drink, problem := glass.Read(c.text, b)
	switch {
	case problem != nil && c.asJSON:
		return exitProblem, printJSON(stdout, problemJSON{v.GlassProblemLine(*problem).Plain(), v.GlassHint(*problem).Plain()})
	case problem != nil:
		fmt.Fprintln(stdout, v.GlassProblemLine(*problem).Plain())
		fmt.Fprintln(stdout, v.GlassHint(*problem).Plain())
		return exitProblem, nil
	case c.asJSON:
		return 0, printJSON(stdout, drinkOf(glass.Sum(drink), v))
	}
	for _, line := range v.GlassLines(glass.Sum(drink)) {
		fmt.Fprintln(stdout, line)
	}
	return 0, nil
}
