package kitchen

// EntryField is one field of a form that changes an entry of the book. Its Key
// is the key in the book's file, and the field's id.
type EntryField struct {
	Key     string
	Must    bool     // the entry is nothing without it
	Fresh   bool     // asked of a new entry only: it is what the entry is known by
	Choices []string // one of these, as the book has them
	Like    string   // how it is written, the same in every language
}

// yesNo is how the book has a yes or a no; one that is missing is a no.
var yesNo = []string{"true", "false"}

// The fields of the forms that change the book which are no keys of its file.
const (
	FieldWhich  = "which"  // of what there is, the one to change; NewEntry = a new one
	FieldLike   = "like"   // a recipe that a new one is to be like
	FieldRemove = "remove" // "true" takes the entry out of the book
)

// NewEntry is the choice of an entry that is not there yet. No entry has such a
// name.
const NewEntry = "+"

// ChargerPrice is the choice of a charger's price, among the goods.
const ChargerPrice = "+charger"

var (
	recipeFields = []EntryField{
		{Key: "name", Must: true, Fresh: true, Like: "rhubarb gin"},
		{Key: "solid", Must: true, Like: "rhubarb"},
		{Key: "base", Must: true, Like: "gin"},
		{Key: "aliases", Like: "gin with rhubarb, pink gin"},
		{Key: "batch", Like: "400 ml"},
		{Key: "ratio", Like: "20 g/100ml"},
		{Key: "prep", Must: true, Like: "5 mm"},
		{Key: "choose", Must: true},
		{Key: "use", Must: true},
		{Key: "temp", Like: "18 C, 20 C, 24 C"},
		{Key: "proven", Like: "500 ml"},
		{Key: "chargers", Like: "2"},
		{Key: "swirl", Like: "30 s"},
		{Key: "rest", Like: "60 s, 2 min, 5 min"},
		{Key: "settle", Like: "3 min"},
		{Key: "strain_first", Choices: yesNo},
		{Key: "contact", Like: "20 min"},
		{Key: "clear", Like: "30 min"},
		{Key: "judge_after", Like: "10 min"},
		{Key: "gentle", Choices: yesNo},
		{Key: "vent", Choices: []string{"fast", "slow"}},
		{Key: "product", Choices: []string{"liquid", "solid"}},
		{Key: "storage", Choices: []string{"fridge", "shelf"}},
		{Key: "allergens", Like: "nuts, milk"},
		{Key: "hold", Like: "7 days"},
		{Key: "clear_with", Like: "milk"},
		{Key: "serve", Like: "50 ml"},
		{Key: "cycles", Like: "1"},
	}
	vesselFields = []EntryField{
		{Key: "tag", Must: true, Fresh: true, Like: "E"},
		{Key: "nominal", Must: true, Like: "0.5 l"},
		{Key: "line", Must: true, Like: "500 ml"},
		{Key: "brim", Like: "710 ml"},
		{Key: "charger_limit", Like: "2"},
		{Key: "stamped_pressure", Like: "35 bar"},
		{Key: "line_holds_solids", Choices: yesNo},
		{Key: "material", Choices: []string{"steel", "aluminium"}},
		{Key: "head", Choices: []string{"steel", "aluminium", "plastic"}},
		{Key: "insulated", Choices: yesNo},
		{Key: "nut_free", Choices: yesNo},
		{Key: "check_every", Like: "7 days"},
	}
	houseFields = []EntryField{
		{Key: "language", Must: true, Choices: []string{"en", "es", "fr"}},
		{Key: "country", Must: true, Like: "BE"},
		{Key: "state", Like: "IL"},
		{Key: "licensed", Must: true, Choices: []string{"yes", "no", "unknown"}},
		{Key: "bottle", Must: true, Like: "700 ml"},
		{Key: "serve", Like: "50 ml"},
		{Key: "room", Like: "46 m3"},
		{Key: "air_changes", Like: "8.0/h"},
		{Key: "hands", Like: "2"},
		{Key: "currency", Like: "EUR"},
	}
)

// EntryFields gives the fields of a form that changes the book, in their order;
// none for another form. What stands in the book beside them stays as it is.
func EntryFields(f FormName) []EntryField {
	switch f {
	case FormRecipe:
		return recipeFields
	case FormVessel:
		return vesselFields
	case FormHouse:
		return houseFields
	}
	return nil
}

// measured are the fields of a vessel that say what may go into it: they stay
// while something is in it.
var measured = []string{"nominal", "line", "brim", "charger_limit", "stamped_pressure", "line_holds_solids"}
