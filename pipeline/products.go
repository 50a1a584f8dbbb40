package pipeline

import "slices"

// Product is a part of a clip's results that may be asked for. metrics.json is always
// written.
type Product string

// The products.
const (
	MetricsProduct Product = "metrics"
	TrackProduct   Product = "track"
	OverlayProduct Product = "overlay" // with its captions
	StillsProduct  Product = "stills"
	PlotsProduct   Product = "plots"
	ReportProduct  Product = "report"
	CleanProduct   Product = "clean" // only when asked for by name
)

// Products are all of them.
var Products = []Product{MetricsProduct, TrackProduct, OverlayProduct, StillsProduct, PlotsProduct, ReportProduct, CleanProduct}

// usualProducts are what a job without a choice asks for.
var usualProducts = Products[:len(Products)-1]

// Without gives a choice of products without some of them; an empty choice is the
// usual one.
func Without(chosen []Product, out ...Product) []Product {
	if len(chosen) == 0 {
		chosen = usualProducts
	}
	return slices.DeleteFunc(slices.Clone(chosen), func(p Product) bool { return slices.Contains(out, p) })
}

// With gives a choice of products with some more.
func With(chosen []Product, more ...Product) []Product {
	return append(Without(chosen, more...), more...)
}

// wants reports whether any of the products is in a choice.
func wants(chosen []Product, some ...Product) bool {
	if len(chosen) == 0 {
		chosen = usualProducts
	}
	return slices.ContainsFunc(some, func(p Product) bool { return slices.Contains(chosen, p) })
}
