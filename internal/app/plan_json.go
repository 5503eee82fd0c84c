package app

import (
	"math"
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/voice"
)

// planJSON is what `plan --json` prints; what is not known is absent.
type planJSON struct {
	Recipe       string     `json:"recipe"`
	Runs         []runJSON  `json:"runs"`
	Temp         tempJSON   `json:"liquid_temp_c"`
	SwirlS       float64    `json:"swirl_s"`
	RestS        float64    `json:"rest_s"`
	RestMinS     float64    `json:"rest_min_s"`
	RestMaxS     float64    `json:"rest_max_s"`
	SettleS      float64    `json:"settle_s"`
	StrainFirst  bool       `json:"strain_first"`
	ContactCapS  float64    `json:"contact_cap_s"`
	JudgeAfterS  float64    `json:"judge_after_s"`
	ABVFinal     *bandJSON  `json:"abv_final,omitempty"`
	FlashPointC  float64    `json:"flash_point_c,omitempty"`
	YieldML      float64    `json:"yield_ml"`
	DrainedG     float64    `json:"drained_g,omitempty"` // where the pieces are kept
	Class        string     `json:"class"`
	Storage      string     `json:"storage"`
	UseBy        string     `json:"use_by,omitempty"`
	KeepDays     int        `json:"keep_days"`
	Allergens    []string   `json:"allergens"`
	Room         *roomJSON  `json:"room,omitempty"`
	Serves       int        `json:"serves,omitempty"`
	CostPerServe float64    `json:"cost_per_serve,omitempty"`
	Steps        []stepJSON `json:"steps"`
	Notes        []string   `json:"notes"`

	// What a kitchen's own results tell, where a kitchen is named.
	Last     []resultJSON  `json:"last_results,omitempty"`
	Proposal *proposalJSON `json:"proposal,omitempty"`
}

type runJSON struct {
	Vessel      string        `json:"vessel"`
	LiquidML    float64       `json:"liquid_ml"`
	Solids      []solidJSON   `json:"solids"`
	Chargers    int           `json:"chargers"`
	ChargeG     float64       `json:"charge_g"`
	Pressure    *pressureJSON `json:"pressure,omitempty"`
	Dissolved   float64       `json:"dissolved_g_per_l,omitempty"`
	VentGasL    float64       `json:"vent_gas_l,omitempty"`
	VentJugML   float64       `json:"vent_jug_ml"`
	HeadspaceML float64       `json:"headspace_ml,omitempty"`
	YieldML     float64       `json:"yield_ml"`
	DrainedG    float64       `json:"drained_g,omitempty"`
	StartAtS    float64       `json:"start_at_s"`
	Round       int           `json:"round,omitempty"` // 2 and up: the vessel is used again
}

// pressureJSON are pressures on the gauge: the highest along the plan's own
// steps, all chargers at once and unswirled, and at rest with its low and its
// high end.
type pressureJSON struct {
	Peak      float64 `json:"peak_bar"`
	Unswirled float64 `json:"unswirled_bar"`
	Rest      float64 `json:"rest_bar"`
	Low       float64 `json:"low_bar"`
	High      float64 `json:"high_bar"`
	Limit     int     `json:"vessel_limit_bar,omitempty"`
}

type bandJSON struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// roomJSON are averages over the whole room; at the jug it is far more.
type roomJSON struct {
	Step   float64     `json:"step_ppm"`
	Peak   float64     `json:"peak_ppm"`
	TWA8h  float64     `json:"twa8h_ppm"`
	Limits []limitJSON `json:"limits"`
}

type limitJSON struct {
	Name string  `json:"name"`
	PPM  float64 `json:"ppm"`
	Over bool    `json:"over"`
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
	f := p.Figures
	out := planJSON{
		Recipe: p.Title,
		Temp:   tempJSON{p.Temp.Min.Degrees(), p.Temp.Target.Degrees(), p.Temp.Max.Degrees()},
		SwirlS: p.Swirl.Seconds(), RestS: p.Rest.Target.Seconds(), RestMinS: p.Rest.Min.Seconds(),
		RestMaxS: p.Rest.Max.Seconds(), SettleS: p.Settle.Seconds(), StrainFirst: p.StrainFirst,
		ContactCapS: p.Contact.Seconds(), JudgeAfterS: p.JudgeAfter.Seconds(), Notes: v.Notes(p),
		FlashPointC: rounded(f.FlashPoint, 1), YieldML: rounded(f.Yield.Millilitres(), 0),
		DrainedG: rounded(f.Drained.Grams(), 0), Class: f.Keep.Class, Storage: f.Keep.Storage, KeepDays: f.Keep.Days,
		Allergens: append([]string{}, f.Keep.Allergens...), Room: roomOf(f.Air),
		Serves: f.Serves, CostPerServe: float64(f.CostPerServe) / 100, Last: resultsOf(p.Last), Proposal: proposalOf(p.Proposal),
	}
	if !f.Keep.UseBy.IsZero() {
		out.UseBy = f.Keep.UseBy.Format(time.DateOnly)
	}
	if f.ABVHigh > 0 {
		out.ABVFinal = &bandJSON{rounded(f.ABVLow, 1), rounded(f.ABVHigh, 1)}
	}
	for _, r := range p.Runs {
		out.Runs = append(out.Runs, runOf(r))
	}
	for _, s := range p.Steps {
		out.Steps = append(out.Steps, stepJSON{s.At.Seconds(), string(s.Do), v.StepNote(s)})
	}
	return out
}

func runOf(r plan.Run) runJSON {
	f := r.Figures
	run := runJSON{
		Vessel: r.Vessel, LiquidML: r.Liquid.Millilitres(), Chargers: r.Chargers, ChargeG: r.Charge.Grams(),
		Dissolved: rounded(f.Dissolved.Central, 1), VentGasL: rounded(f.VentGas.High, 2), VentJugML: f.Jug.Millilitres(),
		HeadspaceML: rounded(f.Headspace.Millilitres(), 0), YieldML: rounded(f.Yield.Millilitres(), 0),
		DrainedG: rounded(f.Drained.Grams(), 0), StartAtS: f.StartAt.Seconds(),
	}
	if f.Round > 1 {
		run.Round = f.Round
	}
	for _, s := range r.Solids {
		run.Solids = append(run.Solids, solidJSON{s.Name, s.Mass.Grams(), s.Prep})
	}
	if f.Known {
		run.Pressure = &pressureJSON{
			Peak: rounded(f.Peak.Central, 1), Unswirled: rounded(f.Unswirled.Central, 1), Rest: rounded(f.Rest.Central, 1),
			Low: rounded(f.Rest.Low, 1), High: rounded(f.Rest.High, 1), Limit: f.StampBar,
		}
	}
	return run
}

func roomOf(a *plan.Air) *roomJSON {
	if a == nil {
		return nil
	}
	room := &roomJSON{Step: rounded(a.Step, 1), Peak: rounded(a.Peak, 1), TWA8h: rounded(a.Mean8h, 1)}
	for _, l := range a.Limits {
		room.Limits = append(room.Limits, limitJSON(l))
	}
	return room
}

// rounded gives a figure with so many decimals.
func rounded(f float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(f*scale) / scale
}
