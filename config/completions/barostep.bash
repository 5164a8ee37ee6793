# Completion for bash: the program itself is asked what can come next.
_barostep() {
    local line=${COMP_LINE:0:COMP_POINT}
    local text=${line#* }
    local current=${text##* }
    local candidates
    # Neither the one-letter forms nor those of another system are worth offering.
    candidates=$(command barostep "[suggest:${#text}]" "$text" 2>/dev/null | grep -v -e '^/' -e '^-.$')
    mapfile -t COMPREPLY < <(compgen -W "$candidates" -- "$current")
    # Nothing of its own to offer: names of files.
    if [ ${#COMPREPLY[@]} -eq 0 ]; then
        mapfile -t COMPREPLY < <(compgen -f -- "$current")
    fi
}
complete -F _barostep barostep
