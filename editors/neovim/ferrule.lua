-- Starts `ferrule serve` for .fer files. Copy to ~/.config/nvim/plugin/ferrule.lua, beside the files of vim/ for colours.
vim.api.nvim_create_autocmd({ 'BufRead', 'BufNewFile' }, {
  pattern = '*.fer',
  callback = function(event)
    vim.bo[event.buf].filetype = 'ferrule'
    vim.bo[event.buf].commentstring = '# %s'
    local root = vim.fn.finddir('.git', vim.fn.expand('%:p:h') .. ';')
    root = root ~= '' and vim.fn.fnamemodify(root, ':p:h:h') or vim.fn.expand('%:p:h')
    if vim.lsp.start then  -- 0.8 and later
      vim.lsp.start({ name = 'ferrule', cmd = { 'ferrule', 'serve' }, root_dir = root }, { bufnr = event.buf })
      return
    end
    _G.ferrule_client = _G.ferrule_client or vim.lsp.start_client({ name = 'ferrule', cmd = { 'ferrule', 'serve' }, root_dir = root })
    vim.lsp.buf_attach_client(event.buf, _G.ferrule_client)
  end,
})
