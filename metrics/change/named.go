package change

import "ashline/metrics"

// Names lists the names of all metrics in the order of metrics.json.
func Names() []string {
	var names []string
	for _, m := range (metrics.Swing{}).Metrics() {
		names = append(names, m.Name)
	}
	return names
}
