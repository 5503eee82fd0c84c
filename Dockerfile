# Built in one stage, run from an empty one: the binary, the zones' names and
# the certificates it needs, as a user without rights.
FROM golang:1.26-bookworm AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY cmd cmd
COPY internal internal
RUN CGO_ENABLED=0 go build -trimpath -ldflags "-s -w" -o /out/ventbell ./cmd/ventbell
RUN mkdir -p /out/data

FROM scratch
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build /out/ventbell /ventbell
COPY --from=build --chown=65532:65532 /out/data /data
USER 65532:65532
EXPOSE 8080
HEALTHCHECK --interval=30s --timeout=5s CMD ["/ventbell", "health"]
ENTRYPOINT ["/ventbell"]
CMD ["run"]
