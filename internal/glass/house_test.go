package glass

import (
	"math"
	"testing"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

const (
	ml   = quantity.Millilitre
	gram = quantity.Gram
)

// bar is a small book whose figures are those of the worked examples: a spirit
// of 24.00 for 700 ml, fresh pepper at 6.00 a kilogram that keeps 0.5 ml a gram,
// chargers at 0.70.
func bar() *book.Book {
	return &book.Book{
		House: book.House{Country: "BE", Currency: "EUR", ChargerPrice: 70},
		Liquids: []book.Liquid{
			{Name: "tequila", Family: book.Spirit, Strength: 40 * quantity.Percent, Price: 3429},
			{Name: "gin", Aliases: []string{"dry gin"}, Family: book.Spirit, Strength: 40 * quantity.Percent},
			{Name: "strong rum", Family: book.Spirit, Strength: 57 * quantity.Percent, Price: 3000},
			{Name: "blended whisky", Family: book.Spirit, Strength: 40 * quantity.Percent},
			{Name: "5 spice rum", Family: book.Spirit, Strength: 38 * quantity.Percent},
			{Name: "dry vermouth", Family: book.Wine, Strength: 18 * quantity.Percent, Allergens: []string{"sulphites"}},
			{Name: "white vinegar", Family: book.Vinegar, Acidity: 60, Price: 200},
			{Name: "house syrup", Family: book.Syrup, Sugar: 615, Price: 300},
			{Name: "water", Family: book.Water},
		},
		Botanicals: []book.Botanical{
			{Name: "hot pepper", Kind: book.HotPepper, Water: 917, Retention: 500, Price: 600},
			{Name: "rhubarb", Kind: book.Fruit, Water: 936, Retention: 100, Price: 400},
			{Name: "hazelnut", Kind: book.Roast, Water: 25, Dry: true, Allergens: []string{"nuts"}},
			{Name: "basil", Kind: book.Herb},
		},
		Recipes: []book.Recipe{
			{
				Name: "pepper tequila", Aliases: []string{"chile tequila"}, Solid: "hot pepper", Base: "tequila",
				Batch: 500 * ml, Ratio: 12 * quantity.GramsPer100, Chargers: 2, Use: "short with lime",
			},
			{Name: "rhubarb gin", Solid: "rhubarb", Base: "gin", Batch: 400 * ml, Ratio: 20 * quantity.GramsPer100, Chargers: 2},
			{Name: "hazelnut rum", Solid: "hazelnut", Base: "strong rum", Batch: 400 * ml, Ratio: 18 * quantity.GramsPer100},
			{Name: "basil gin", Solid: "basil", Base: "gin", Batch: 400 * ml, Ratio: 6 * quantity.GramsPer100},
			{Name: "pepper vinegar", Solid: "hot pepper", Base: "white vinegar", Batch: 400 * ml, Ratio: 8 * quantity.GramsPer100},
		},
	}
}

// summed gives the sums of a line that has to read.
func summed(t testing.TB, line string) Sums {
	t.Helper()
	d, p := Read(line, bar())
	if p != nil {
		t.Fatalf("%q: %+v", line, *p)
	}
	return Sum(d)
}

// near fails unless got lies within tolerance of want.
func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g within %.3g", what, got, want, tolerance)
	}
}
