" The language server for ALE. g:ale_ferrule_executable names the program if it is not on PATH.
call ale#Set('ferrule_executable', 'ferrule')

function! s:root(buffer) abort
    let l:git = ale#path#FindNearestDirectory(a:buffer, '.git')
    return empty(l:git) ? fnamemodify(bufname(a:buffer), ':p:h') : fnamemodify(l:git, ':h:h')
endfunction

call ale#linter#Define('ferrule', {
\   'name': 'ferrule',
\   'lsp': 'stdio',
\   'executable': {buffer -> ale#Var(buffer, 'ferrule_executable')},
\   'command': '%e serve',
\   'project_root': function('s:root'),
\})
