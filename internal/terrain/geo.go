package terrain

import (
	"bytes"
	"encoding/json"
	"math"

	geom "github.com/twpayne/go-geom"
	"github.com/twpayne/go-geom/encoding/geojson"
	"github.com/twpayne/go-gpx"

	"firnhand/core/slope"
)

// earth is the mean radius of the Earth in m (IUGG). Over the length of a run
// the Earth's true shape changes a distance by less than a part in 200.
const earth = 6371008.8

// degrees are longitude, latitude and height as they stand in a file.
type degrees struct{ lon, lat, height float64 }

func (d degrees) check(i int) error {
	if math.IsNaN(d.lat) || math.IsNaN(d.lon) || math.Abs(d.lat) > 90 || math.Abs(d.lon) > 180 {
		return refuse("unit", "Point %d lies at latitude %g, longitude %g, which is not on Earth; degrees are expected (WGS 84).", i+1, d.lat, d.lon)
	}
	return nil
}

// haversine returns the distance of two points on the ground, m.
func haversine(a, b degrees) float64 {
	const rad = math.Pi / 180
	s, t := math.Sin((b.lat-a.lat)*rad/2), math.Sin((b.lon-a.lon)*rad/2)
	h := s*s + math.Cos(a.lat*rad)*math.Cos(b.lat*rad)*t*t
	return 2 * earth * math.Asin(math.Sqrt(min(h, 1)))
}

// flat puts a point on the plane that touches the Earth at an origin.
func flat(origin, d degrees) place {
	const rad = math.Pi / 180
	turn := math.Remainder(d.lon-origin.lon, 360)
	return place{earth * turn * rad * math.Cos(origin.lat*rad), earth * (d.lat - origin.lat) * rad, d.height}
}

// lineOf measures a line of points.
func lineOf(name string, points []degrees) (line, error) {
	l := line{name: name}
	at := 0.0
	for i, d := range points {
		if err := d.check(i); err != nil {
			return line{}, err
		}
		if i > 0 {
			at += haversine(points[i-1], d)
		}
		l.stations = append(l.stations, slope.Station{Distance: at, Height: d.height})
		l.places = append(l.places, flat(points[0], d))
	}
	return l, nil
}

// readGPX reads the tracks of a GPX file, else its routes.
func readGPX(text []byte) ([]line, error) {
	doc, err := gpx.Read(bytes.NewReader(text))
	if err != nil {
		return nil, unreadable("GPX", err)
	}
	var lines []line
	add := func(name string, points []*gpx.WptType) error {
		if len(points) == 0 {
			return nil
		}
		if len(points) > maxPoints {
			return refuse("too_many", "A line has %d points, more than the %d that are taken.", len(points), maxPoints)
		}
		all := make([]degrees, len(points))
		for i, p := range points {
			all[i] = degrees{p.Lon, p.Lat, p.Ele}
		}
		l, err := lineOf(name, all)
		lines = append(lines, l)
		return err
	}
	for _, track := range doc.Trk {
		var points []*gpx.WptType
		for _, part := range track.TrkSeg {
			points = append(points, part.TrkPt...)
		}
		if err := add(track.Name, points); err != nil {
			return nil, err
		}
	}
	if len(lines) == 0 {
		for _, route := range doc.Rte {
			if err := add(route.Name, route.RtePt); err != nil {
				return nil, err
			}
		}
	}
	return lines, nil
}

// shapes gathers what a GeoJSON file holds.
type shapes struct {
	lines []geoLine
	spots []degrees
}

type geoLine struct {
	name   string
	points []degrees
}

// readGeoJSON reads the lines of a GeoJSON file, and its points with heights
// as ground beside them.
func readGeoJSON(text []byte) ([]line, error) {
	var head struct {
		Type string `json:"type"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return nil, unreadable("GeoJSON", err)
	}
	var s shapes
	switch head.Type {
	case "FeatureCollection":
		var all geojson.FeatureCollection
		if err := json.Unmarshal(text, &all); err != nil {
			return nil, unreadable("GeoJSON", err)
		}
		for _, f := range all.Features {
			if f != nil {
				if err := s.add(nameOf(f.Properties), f.Geometry); err != nil {
					return nil, err
				}
			}
		}
	case "Feature":
		var f geojson.Feature
		if err := json.Unmarshal(text, &f); err != nil {
			return nil, unreadable("GeoJSON", err)
		}
		if err := s.add(nameOf(f.Properties), f.Geometry); err != nil {
			return nil, err
		}
	case "":
		return nil, refuse("unreadable", "This is JSON, but not GeoJSON: it says no type.")
	default:
		var g geom.T
		if err := geojson.Unmarshal(text, &g); err != nil {
			return nil, unreadable("GeoJSON", err)
		}
		if err := s.add("", g); err != nil {
			return nil, err
		}
	}
	return s.measure()
}

func nameOf(properties map[string]any) string {
	name, _ := properties["name"].(string)
	return name
}

// add takes a shape apart.
func (s *shapes) add(name string, g geom.T) error {
	if g == nil {
		return nil
	}
	switch g := g.(type) {
	case *geom.LineString:
		points, err := heights(g.Layout(), g.FlatCoords(), g.Stride())
		s.lines = append(s.lines, geoLine{name, points})
		return err
	case *geom.MultiLineString:
		for i := range g.NumLineStrings() {
			if err := s.add(name, g.LineString(i)); err != nil {
				return err
			}
		}
	case *geom.Point:
		if !g.Empty() && g.Layout().ZIndex() >= 0 {
			points, err := heights(g.Layout(), g.FlatCoords(), g.Stride())
			s.spots = append(s.spots, points...)
			return err
		}
	case *geom.MultiPoint:
		for i := range g.NumPoints() {
			if err := s.add(name, g.Point(i)); err != nil {
				return err
			}
		}
	case *geom.GeometryCollection:
		for _, part := range g.Geoms() {
			if err := s.add(name, part); err != nil {
				return err
			}
		}
	}
	return nil
}

func heights(layout geom.Layout, flat []float64, stride int) ([]degrees, error) {
	z := layout.ZIndex()
	if z < 0 {
		return nil, refuse("no_heights", "The points of the line have no heights (a third number), so nothing about the slope follows from them.")
	}
	if len(flat)/stride > maxPoints {
		return nil, refuse("too_many", "A line has %d points, more than the %d that are taken.", len(flat)/stride, maxPoints)
	}
	var out []degrees
	for i := 0; i+stride <= len(flat); i += stride {
		out = append(out, degrees{flat[i], flat[i+1], flat[i+z]})
	}
	return out, nil
}

func (s *shapes) measure() ([]line, error) {
	var lines []line
	for _, g := range s.lines {
		if len(g.points) == 0 {
			continue
		}
		l, err := lineOf(g.name, g.points)
		if err != nil {
			return nil, err
		}
		for i, d := range s.spots {
			if err := d.check(i); err != nil {
				return nil, err
			}
			l.spots = append(l.spots, flat(g.points[0], d))
		}
		lines = append(lines, l)
	}
	return lines, nil
}
