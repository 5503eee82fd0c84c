package glass

// Standard is one definition of a standard drink: what authorities count
// alcohol in. It is no measure of what anybody bears.
type Standard struct {
	Key         string  // of its JSON field
	Grams       float64 // of ethanol; 0 when it is defined by volume
	Millilitres float64 // of pure ethanol
	Source      string
}

// Standards are the three definitions that are shown.
func Standards() [3]Standard {
	return [3]Standard{
		{Key: "us", Grams: 14, Source: "National Institute on Alcohol Abuse and Alcoholism (US): 14 g of pure alcohol"},
		{Key: "uk_units", Millilitres: 10, Source: "UK Chief Medical Officers' guidelines, 2016: a unit is 10 ml of pure alcohol"},
		{Key: "ten_g", Grams: 10, Source: "World Health Organization, AUDIT manual, and National Health and Medical Research Council (Australia), 2020: 10 g of pure alcohol"},
	}
}

// Of gives how many of the standard drink so many grams of alcohol are.
func (s Standard) Of(grams float64) float64 {
	if s.Grams > 0 {
		return grams / s.Grams
	}
	return grams / ethanolDensity / s.Millilitres
}
