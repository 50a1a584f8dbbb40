package worker

import (
	"context"
	"fmt"
	"log/slog"
	"net/url"
	"time"

	"ashline/worker/job"

	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp"
	"go.opentelemetry.io/otel/sdk/resource"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"
	"go.opentelemetry.io/otel/trace/noop"
)

const (
	tracerName = "ashline/worker"
	// traceTime bounds one message of spans, and the last words at the end.
	traceTime = 5 * time.Second
)

// noTracer is used where nobody collects traces.
func noTracer() trace.Tracer { return noop.NewTracerProvider().Tracer(tracerName) }

// Traces sends the spans of jobs to a collector that takes OTLP over HTTP, such as
// http://127.0.0.1:4318. Spans that it does not take in time are lost, and so is
// what stop cannot send in time.
func Traces(ctx context.Context, to, program string, log *slog.Logger) (tracer trace.Tracer, stop func() error, err error) {
	u, err := url.Parse(to)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, nil, fmt.Errorf("%w: traces: a collector is like http://host:4318", job.ErrBadInput)
	}
	if u.Path == "" || u.Path == "/" {
		u.Path = "/v1/traces"
	}
	otel.SetErrorHandler(otel.ErrorHandlerFunc(func(err error) { log.Warn("traces", "error", err.Error()) }))
	exp, err := otlptracehttp.New(ctx, otlptracehttp.WithEndpointURL(u.String()), otlptracehttp.WithTimeout(traceTime))
	if err != nil {
		return nil, nil, fmt.Errorf("worker: traces: %w", err)
	}
	provider := sdktrace.NewTracerProvider(
		sdktrace.WithBatcher(exp),
		sdktrace.WithResource(resource.NewSchemaless(attribute.String("service.name", "ashline"), attribute.String("service.version", program))),
	)
	return provider.Tracer(tracerName), func() error {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), traceTime)
		defer cancel()
		return provider.Shutdown(ctx)
	}, nil
}

// endSpan ends a span with the class of what came of it. Like the metrics it
// names nobody: a reason may.
func endSpan(s trace.Span, c job.Class) {
	s.SetAttributes(attribute.String("ashline.class", string(c)))
	if c != job.Done && c != job.Skip {
		s.SetStatus(codes.Error, string(c))
	}
	s.End()
}
