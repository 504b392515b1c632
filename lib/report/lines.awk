# Writes what a page holds as it is, a style sheet or a script, as C, a string a line:
#   awk -v name=STYLE -f lines.awk page.css > style.h
BEGIN {
    print "/* Made by lines.awk: do not edit. */"
    print "static const char *const " name "[] = {"
}
{
    gsub(/\\/, "&&")
    gsub(/"/, "\\\"")
    printf "    \"%s\\n\",\n", $0
}
END { print "};" }
