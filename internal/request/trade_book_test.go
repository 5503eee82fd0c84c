package request

import (
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// bar is the sample book with what a busier house makes besides.
func bar() *book.Book {
	b := *house()
	b.Recipes = slices.Clone(b.Recipes)
	b.Liquids = append(slices.Clone(b.Liquids), book.Liquid{Name: "water", Family: book.Water})
	b.Botanicals = append(slices.Clone(b.Botanicals), book.Botanical{Name: "bergamot peel", Kind: book.Peel})
	add := func(name, solid, base string, batch quantity.Volume, aliases ...string) {
		b.Recipes = append(b.Recipes, book.Recipe{Name: name, Aliases: aliases, Solid: solid, Base: base, Batch: batch * quantity.Millilitre})
	}
	add("chile gin", "hot pepper", "gin", 500)
	add("coffee vodka", "coffee", "vodka", 500)
	add("cacao rum", "cacao", "rum", 500)
	add("basil gin", "basil", "gin", 500)
	add("pineapple rum", "pineapple", "rum", 500)
	add("black tea vodka", "black tea", "vodka", 400)
	add("lemon peel vodka", "lemon peel", "vodka", 400)
	add("cinnamon rum", "cinnamon", "rum", 500)
	add("lemongrass gin", "lemongrass", "gin", 250)
	add("fresh chile oil", "hot pepper", "neutral oil", 300, "chile oil")
	add("basil oil", "basil", "neutral oil", 300)
	add("raspberry vinegar", "raspberry", "white vinegar", 400)
	add("bergamot black tea oat", "black tea", "oat drink", 300, "oatmilk bergamot black tea")
	add("quick cucumber pickle", "cucumber", "white vinegar", 250, "quick pickle cucumber", "pickle cukes")
	add("ginger syrup", "ginger", "sugar syrup", 500)
	add("hibiscus water", "hibiscus", "water", 500)
	add("clove rum", "clove", "rum", 500)
	add("mint gin", "mint", "gin", 400)
	add("mint rum", "mint", "rum", 400)
	add("mint syrup", "mint", "sugar syrup", 400)
	return &b
}

// busy is what is open when the lines of the trade are said.
var busy = []Open{
	{Batch: 1, Title: "pepper tequila", Vessel: "A", Phase: resting, Mine: true, Due: Vented},
	{Batch: 2, Title: "black tea vodka", Vessel: "B", Phase: straining, Mine: false, Due: Strained},
	{Batch: 3, Title: "cacao rum", Vessel: "C", Phase: resting, Mine: false},
}
