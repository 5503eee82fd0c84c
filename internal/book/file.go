package book

import (
	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// The shapes of a book file. Figures stay text here, each with the place it
// stands at, so that a complaint about one shows its line.
type (
	bookFile struct {
		House      entry   `yaml:"house"`
		Vessels    entries `yaml:"vessels"`
		Classes    entries `yaml:"classes"`
		Liquids    entries `yaml:"liquids"`
		Botanicals entries `yaml:"botanicals"`
		Recipes    entries `yaml:"recipes"`
	}

	houseFile struct {
		Name         text     `yaml:"name"`
		Language     text     `yaml:"language"`
		Zone         text     `yaml:"zone"`
		Country      text     `yaml:"country"`
		State        text     `yaml:"state"`
		Licensed     text     `yaml:"licensed"`
		Bottle       text     `yaml:"bottle"`
		Serve        text     `yaml:"serve"`
		Room         text     `yaml:"room"`
		AirChanges   text     `yaml:"air_changes"`
		Hands        text     `yaml:"hands"`
		Currency     text     `yaml:"currency"`
		ChargerPrice text     `yaml:"charger_price"`
		Cutoff       text     `yaml:"charger_cutoff"`
		Lead         text     `yaml:"charger_lead"`
		Delivery     []text   `yaml:"charger_delivery"`
		Reorder      text     `yaml:"charger_reorder"`
		Emergency    text     `yaml:"emergency_number"`
		FirstAid     text     `yaml:"first_aid"`
		Unlabelled   text     `yaml:"unlabelled_use_by"`
		From         fromFile `yaml:"from"`
	}

	vesselFile struct {
		Tag             text     `yaml:"tag"`
		Nominal         text     `yaml:"nominal"`
		Line            text     `yaml:"line"`
		Brim            text     `yaml:"brim"`
		Limit           text     `yaml:"charger_limit"`
		Stamped         text     `yaml:"stamped_pressure"`
		LineHoldsSolids flag     `yaml:"line_holds_solids"`
		Insulated       flag     `yaml:"insulated"`
		Material        text     `yaml:"material"`
		Head            text     `yaml:"head"`
		CheckEvery      text     `yaml:"check_every"`
		NutFree         flag     `yaml:"nut_free"`
		From            fromFile `yaml:"from"`
	}

	liquidFile struct {
		Name      text     `yaml:"name"`
		Aliases   []text   `yaml:"aliases"`
		Family    text     `yaml:"family"`
		Strength  text     `yaml:"strength"`
		Allergens []text   `yaml:"allergens"`
		Acidity   text     `yaml:"acidity"`
		Brix      text     `yaml:"brix"`
		Sugar     text     `yaml:"sugar"`
		Fat       text     `yaml:"fat_in_100g"`
		Foams     flag     `yaml:"foams"`
		Price     text     `yaml:"price"`
		From      fromFile `yaml:"from"`
	}

	botanicalFile struct {
		Name           text     `yaml:"name"`
		Aliases        []text   `yaml:"aliases"`
		Kind           text     `yaml:"kind"`
		Allergens      []text   `yaml:"allergens"`
		Water          text     `yaml:"water_in_100g"`
		Fat            text     `yaml:"fat_in_100g"`
		Dry            flag     `yaml:"dry"`
		Retention      text     `yaml:"retention"`
		Allium         flag     `yaml:"allium"`
		Mushroom       flag     `yaml:"mushroom"`
		DriedVegetable flag     `yaml:"dried_vegetable"`
		Powder         flag     `yaml:"powder"`
		Irritant       flag     `yaml:"irritant"`
		Price          text     `yaml:"price"`
		Refused        text     `yaml:"refused"`
		SignOff        text     `yaml:"sign_off"`
		From           fromFile `yaml:"from"`
	}

	classFile struct {
		Family      text     `yaml:"family"`
		Kinds       []text   `yaml:"kinds"`
		Product     text     `yaml:"product"`
		Ratio       limits   `yaml:"ratio"`
		Temp        limits   `yaml:"temp"`
		Proven      text     `yaml:"proven"`
		Chargers    text     `yaml:"chargers"`
		Swirl       text     `yaml:"swirl"`
		Rest        limits   `yaml:"rest"`
		Settle      text     `yaml:"settle"`
		StrainFirst flag     `yaml:"strain_first"`
		Contact     text     `yaml:"contact"`
		Clear       text     `yaml:"clear"`
		JudgeAfter  text     `yaml:"judge_after"`
		Gentle      flag     `yaml:"gentle"`
		Storage     text     `yaml:"storage"`
		From        fromFile `yaml:"from"`
	}

	recipeFile struct {
		Name        text     `yaml:"name"`
		Aliases     []text   `yaml:"aliases"`
		Solid       text     `yaml:"solid"`
		Base        text     `yaml:"base"`
		Batch       text     `yaml:"batch"`
		Ratio       text     `yaml:"ratio"`
		Prep        text     `yaml:"prep"`
		Choose      text     `yaml:"choose"`
		Use         text     `yaml:"use"`
		Temp        limits   `yaml:"temp"`
		Proven      text     `yaml:"proven"`
		Chargers    text     `yaml:"chargers"`
		Swirl       text     `yaml:"swirl"`
		Rest        limits   `yaml:"rest"`
		Settle      text     `yaml:"settle"`
		StrainFirst flag     `yaml:"strain_first"`
		Contact     text     `yaml:"contact"`
		Clear       text     `yaml:"clear"`
		JudgeAfter  text     `yaml:"judge_after"`
		Gentle      flag     `yaml:"gentle"`
		Vent        text     `yaml:"vent"`
		Product     text     `yaml:"product"`
		Storage     text     `yaml:"storage"`
		Allergens   []text   `yaml:"allergens"`
		Hold        text     `yaml:"hold"`
		Override    text     `yaml:"override"`
		OverrideBy  text     `yaml:"override_by"`
		OverrideDoc text     `yaml:"override_document"`
		ClearWith   text     `yaml:"clear_with"`
		Serve       text     `yaml:"serve"`
		Cycles      text     `yaml:"cycles"`
		From        fromFile `yaml:"from"`
	}

	limits struct {
		Min    text `yaml:"min"`
		Target text `yaml:"target"`
		Max    text `yaml:"max"`
	}

	// fromFile lists the figures of an entry by where they come from.
	fromFile struct {
		CommonPractice []text            `yaml:"common practice"`
		Estimate       []text            `yaml:"estimate"`
		Demo           []text            `yaml:"demo"`
		Published      map[string][]text `yaml:"published"`
	}
)

// text is one plain value and where it stands; at is nil when it is not there.
type text struct {
	value string
	at    *token.Token
}

// UnmarshalYAML takes any single value as it is written.
func (t *text) UnmarshalYAML(n ast.Node) error {
	switch n := n.(type) {
	case *ast.StringNode:
		t.value = n.Value
	case *ast.LiteralNode:
		t.value = n.Value.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.InfinityNode, *ast.NanNode, *ast.BoolNode:
		t.value = n.GetToken().Value
	default:
		return complaint(n.GetToken(), "one plain value belongs here")
	}
	t.at = n.GetToken()
	return nil
}

// flag is one yes or no.
type flag bool

// UnmarshalYAML takes true or false.
func (f *flag) UnmarshalYAML(n ast.Node) error {
	b, ok := n.(*ast.BoolNode)
	if !ok {
		return complaint(n.GetToken(), "true or false belongs here")
	}
	*f = flag(b.Value)
	return nil
}

// entry is one part of the file that is decoded on its own, so that a mistake
// in it does not hide the mistakes elsewhere.
type entry struct{ node ast.Node }

// UnmarshalYAML keeps the part for later.
func (e *entry) UnmarshalYAML(n ast.Node) error {
	e.node = n
	return nil
}

// entries is a list of such parts.
type entries struct{ list []entry }

// UnmarshalYAML keeps the parts for later.
func (e *entries) UnmarshalYAML(n ast.Node) error {
	list, ok := n.(*ast.SequenceNode)
	if !ok {
		return complaint(n.GetToken(), `a list belongs here, each entry after a "-"`)
	}
	for _, n := range list.Values {
		e.list = append(e.list, entry{n})
	}
	return nil
}

// complaint says what is wrong at one place of the file, as the YAML library does.
func complaint(at *token.Token, message string) error {
	return &yaml.SyntaxError{Message: message, Token: at}
}
