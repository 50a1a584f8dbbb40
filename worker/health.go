package worker

import (
	"context"
	"errors"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Check reports whether something a worker needs answers.
type Check func(ctx context.Context) error

// checkTime bounds all checks of one readiness request.
const checkTime = 3 * time.Second

// Health answers /livez (the process serves and every check of alive passes),
// /readyz (every check passes) and /metrics.
func Health(reg *prometheus.Registry, checks map[string]Check, alive ...Check) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /livez", func(w http.ResponseWriter, r *http.Request) {
		for _, c := range alive {
			if c(r.Context()) != nil {
				http.Error(w, "stuck", http.StatusServiceUnavailable)
				return
			}
		}
		_, _ = w.Write([]byte("ok\n"))
	})
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), checkTime)
		defer cancel()
		for name, c := range checks {
			if c(ctx) != nil { // the answer goes to strangers: which, not why
				http.Error(w, name+" not ready", http.StatusServiceUnavailable)
				return
			}
		}
		_, _ = w.Write([]byte("ok\n"))
	})
	mux.Handle("GET /metrics", promhttp.HandlerFor(reg, promhttp.HandlerOpts{}))
	return mux
}

// Serve answers on a listener until ctx ends.
func Serve(ctx context.Context, l net.Listener, h http.Handler) error {
	srv := &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second, WriteTimeout: 10 * time.Second, IdleTimeout: 30 * time.Second}
	stop := context.AfterFunc(ctx, func() {
		shut, cancel := context.WithTimeout(context.Background(), checkTime)
		defer cancel()
		_ = srv.Shutdown(shut)
	})
	defer stop()
	err := srv.Serve(l)
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
