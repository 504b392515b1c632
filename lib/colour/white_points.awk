# Writes the white points of colour.c from the published tables:
#   awk -f white_points.awk reference/constants.csv reference/white_points.csv > white_points.h
# One D50: that of the ICC (constants.csv). It also stands in for the CIE's own row, whose Z differs by 0.0002.
BEGIN {
    FS = ","
    print "/* Made by white_points.awk from reference/constants.csv and reference/white_points.csv: do not edit. */"
}
$1 == "icc_pcs_d50" && $2 ~ /^[XYZ]$/ { d50[$2] = $3 }
$1 == "illuminant" {
    printf "#define WHITE_D50 {%s, %s, %s}\n", d50["X"], d50["Y"], d50["Z"]
    print "static const struct { const char *name; wm_xyz white; } WHITE_POINTS[] = { /* 2 degree, CIE 15 */"
    table = 1
    next
}
table && $2 == 2 && $1 == "D50" { print "    {\"D50\", WHITE_D50}," }
table && $2 == 2 && $1 != "D50" && $3 != "" { printf "    {\"%s\", {%s / 100., %s / 100., %s / 100.}},\n", $1, $3, $4, $5 }
END { print "};" }
