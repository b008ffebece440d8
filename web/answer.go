package web

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
)

func fail(w http.ResponseWriter, status int, words string) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(map[string]string{"error": words})
}

func answer(w http.ResponseWriter, v any) { answerStatus(w, http.StatusOK, v) }

func answerStatus(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	_ = e.Encode(v) // the reader has gone; there is nobody to tell
}

// trouble turns an error into a status and words.
func trouble(w http.ResponseWriter, err error) {
	status := http.StatusInternalServerError
	var big *http.MaxBytesError
	switch {
	case errors.Is(err, errNoJob), errors.Is(err, errNoStep):
		status = http.StatusNotFound
	case errors.Is(err, errBadName), errors.Is(err, errBody):
		status = http.StatusBadRequest
	case errors.Is(err, errConflict), errors.Is(err, errThere):
		status = http.StatusConflict
	case errors.As(err, &big):
		status = http.StatusRequestEntityTooLarge
	}
	fail(w, status, err.Error())
}

var errBody = errors.New("the call's body is not what is expected")

func readBody(r *http.Request, into any) error {
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return err
		}
		return errors.Join(errBody, err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errBody
	}
	return nil
}
