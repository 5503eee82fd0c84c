package request

import (
	"os"
	"sync"

	"ventbell/internal/book"
)

var readHouse = sync.OnceValue(func() *book.Book {
	file, err := os.ReadFile("testdata/house.yaml")
	if err != nil {
		panic(err)
	}
	b, err := book.Parse(file)
	if err != nil {
		panic(err)
	}
	return b
})

// house is the book that the lines of these tests are read with: a small one of
// its own, so that a word more in the sample book changes none of them.
func house() *book.Book { return readHouse() }
