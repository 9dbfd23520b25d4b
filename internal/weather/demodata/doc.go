// Package demodata holds four years of daily weather of two cities, for the
// demonstration season and for tests on real weather.
//
// The file weather.csv is resource "weather" of the data package vega-datasets,
// version 3.2.1, unchanged (git blob 0e7e853f4c5b67615da261d5d343824a43510f50,
// the hash its datapackage.json states): 2,922 days, 2012 to 2015, of Seattle and New
// York, with the columns location, date, precipitation (mm), temp_max and
// temp_min (°C), wind and weather. It lies here packed by gzip -9n, and is
// unpacked when it is first asked for.
//
// Origin: NOAA Climate Data Online. The data package states its licence as
// "U.S. Government Dataset", a work of the US government. See LICENCE.txt
// beside the file for the wording.
package demodata

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"io"
	"sync"
)

//go:embed weather.csv.gz
var packed []byte

// CSV gives the file, to be read and not changed. Package weather reads it as
// CityCSV.
var CSV = sync.OnceValue(func() []byte {
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		panic(err) // it comes with the program, and a test reads it
	}
	b, err := io.ReadAll(z)
	if err != nil {
		panic(err)
	}
	return b
})
