package sheet

// RowsOn counts the table rows on a page.
func RowsOn(p Page) int {
	n := 0
	for _, it := range p.Items {
		if b, ok := it.What.(tableBit); ok {
			n += len(b.rows)
		}
	}
	return n
}

// BoxSide is the side of a box for a digit.
const BoxSide = boxSide
